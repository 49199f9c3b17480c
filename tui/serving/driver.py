"""The driver of a tab's process: it sends packets to the server instead of drawing on a terminal."""

from textual.drivers.web_driver import WebDriver
from textual.messages import ExitApp


class TabDriver(WebDriver):
    """Textual's driver for browsers, which also ends the dashboard when the server is gone."""

    def run_input_thread(self) -> None:
        """Read input from the server; if the pipe ends without an exit message, the server was killed."""
        super().run_input_thread()
        if not self.exit_event.is_set():
            self.send_message(ExitApp())

    def start_application_mode(self) -> None:
        """Start; the base driver always asks for mouse moves, so they are switched off again without a mouse."""
        super().start_application_mode()
        if not self._mouse:
            self.write("\x1b[?1003l")

    def _enable_mouse_support(self) -> None:
        if self._mouse:
            super()._enable_mouse_support()
