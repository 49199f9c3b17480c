"""The frame of every screen: the masthead with its tabs, and the strip of keys."""

from rich.cells import cell_len
from textual import events
from textual.strip import Strip
from textual.widget import Widget

from stock.language import _
from tui.drawing.bottle import Run
from tui.drawing.figures import written
from tui.drawing.strips import colours, fit, strip_of
from tui.screens import ScreenEntry
from tui.widgets.shell import Shell, shell_of

LONGEST_TITLE, SHORTEST = 9, 3
"""Letters of a tab's title: no screen has more, and fewer tell nothing."""


class Masthead(Widget):
    """The studio, the day, and a tab for each screen, the current one marked."""

    DEFAULT_CSS = "Masthead { height: 2; dock: top; background: $ground; }"

    def on_mount(self) -> None:
        """Redraw when the studio, the day or the keys change."""
        for name in ("studio_name", "day"):
            self.watch(self.app, name, self._redraw, init=False)
        self.screen.bindings_updated_signal.subscribe(self, lambda _: self._redraw())

    def _redraw(self) -> None:
        self.refresh()

    def _key(self, screen: ScreenEntry) -> str:
        """The key that opens a screen: a function key while a field has the focus, which takes the digits."""
        from textual.widgets import Input  # not before the first frame

        typing = isinstance(self.screen.focused, Input)
        return screen.function_key.upper() if typing else screen.key

    def _tabs(self) -> list[tuple[ScreenEntry, str, str, int, int]]:
        """Each tab: its screen, its key, its title, its first cell, and the cell after its last.

        Where the window is narrow they share the cells between them, and long titles are cut, so that each is there.
        """
        named = [(screen, self._key(screen)) for screen in shell_of(self).screens if screen.tab]
        room = self.size.width
        around, longest = 4 if all(len(key) == 1 for _, key in named) else 2, 99
        while self._wide(named, around, longest) > room and (around > 1 or longest > SHORTEST):
            longest = longest if around > 1 else min(longest, LONGEST_TITLE) - 1
            around = max(1, around - 2 if around > 2 else 1)
        tabs, at = [], 0
        for screen, key in named:
            title = fit(screen.title, min(longest, len(screen.title)))
            after = at + len(key) + 1 + len(title) + around
            tabs.append((screen, key, title, at, after))
            at = after
        return tabs

    @staticmethod
    def _wide(named: list[tuple[ScreenEntry, str]], around: int, longest: int) -> int:
        """The cells that all tabs take together, with the one behind the last where they share those between them."""
        cells = sum(len(key) + 1 + min(longest, len(screen.title)) + around for screen, key in named)
        return cells + (around == 1)

    def render_line(self, y: int) -> Strip:
        width, named = self.size.width, colours(self.app)
        if y == 0:
            return strip_of(self._studio_line(shell_of(self)), width, named)
        runs: list[Run] = []
        before_here = False
        for screen, key, title, first, after in self._tabs():
            around = after - first - len(key) - 1 - len(title)
            here, pad = screen.id == self.app.current_mode, " " * ((around - 2) // 2)
            if here:
                runs += [Run("▐", "tape"), Run(f"{pad}{key} {title}{pad}", "tape-ink", "tape", bold=True)]
            else:
                lead = Run("▌", "tape") if before_here and around == 1 else Run(" ", "ink")
                runs += [lead, Run(pad, "ink"), Run(key, "key", bold=True), Run(f" {title}{pad}", "ink")]
            if around > 1:
                runs.append(Run("▌", "tape") if here else Run(" ", "ink"))
            before_here = here
        return strip_of([*runs, *([Run("▌", "tape")] if before_here and around == 1 else [])], width, named)

    def _beside(self) -> list[tuple[ScreenEntry, str, int, int]]:
        """The screens without a tab, which stand beside the day; the same figures as in `_tabs`."""
        shown = shell_of(self).day
        after = self.size.width - (cell_len(written(shown)) + 2 if shown else 0)
        placed: list[tuple[ScreenEntry, str, int, int]] = []
        for screen in reversed([one for one in shell_of(self).screens if not one.tab]):
            key = self._key(screen)
            first = after - len(key) - len(screen.title) - 3
            placed.insert(0, (screen, key, first, after))
            after = first
        return placed

    def _studio_line(self, shell: Shell) -> list[Run]:
        """The studio's name, the screens beside the day, and the day."""
        beside = self._beside()
        room = beside[0][2] if beside else self.size.width
        runs = [Run(f" {fit(shell.studio_name, max(0, room - 2))} ", "ink", bold=True)]
        for screen, key, __, ___ in beside:
            if self.app.current_mode == screen.id:
                words = f"{key} {screen.title}"
                runs += [Run("▐", "tape"), Run(words, "tape-ink", "tape", bold=True), Run("▌", "tape")]
            else:
                runs += [Run(" ", "ink"), Run(key, "key", bold=True), Run(f" {screen.title} ", "ink")]
        return [*runs, Run(f" {written(shell.day)} " if shell.day else "", "quiet")]

    async def on_click(self, event: events.Click) -> None:
        """Open the screen whose tab was clicked."""
        for screen, *__, first, after in self._tabs() if event.y else self._beside():
            if first <= event.x < after:
                await self.app.run_action(f"switch_mode('{screen.id}')", self.app)


Shown = tuple[str, str, str, bool]
"""A key in the strip: its action, its key, its title, and whether it can act now."""


class KeyStrip(Widget):
    """The keys that work here, each of which can be clicked; one that can't act now is in brackets."""

    DEFAULT_CSS = "KeyStrip { height: 1; dock: bottom; background: $ground; }"

    def on_mount(self) -> None:
        """Redraw when other keys work."""
        self.screen.bindings_updated_signal.subscribe(self, lambda _: self.refresh())

    def _keys(self) -> list[Shown]:
        """The keys to show, in their order."""
        keys: list[Shown] = []
        seen = set()
        for active in self.screen.active_bindings.values():
            binding = active.binding
            shown = binding.show or (binding.action == "step_back" and self._typing())
            if shown and binding.action not in seen:
                seen.add(binding.action)
                key = self.app.get_key_display(binding)
                keys.append((binding.action, key, binding.description, active.enabled))
        return keys

    def _typing(self) -> bool:
        from textual.widgets import Input  # not before the first frame

        return isinstance(self.screen.focused, Input)

    def _placed(self) -> list[tuple[str, str, str, bool, int]]:
        """The keys that fit, each with its first cell; help always fits, and counts those that don't."""
        keys = self._keys()
        helping = [key for key in keys if key[0] in ("help", "step_back")]
        rest = [key for key in keys if key not in helping]
        fitting = self._fitting(rest, self.size.width - sum(map(self._room, helping)) - 1)
        if len(fitting) < len(rest):
            helping = [self._counting(key, len(rest) - len(fitting)) for key in helping]
            fitting = self._fitting(rest, self.size.width - sum(map(self._room, helping)) - 1)
            left = len(rest) - len(fitting)
            helping = [self._counting(key, left) for key in helping]
        placed, at = [], 1
        for key in (*fitting, *helping):
            placed.append((*key, at))
            at += self._room(key)
        return placed

    def _fitting(self, keys: list[Shown], room: int) -> list[Shown]:
        """The keys that fit, in their order: those that can't act now are left out first, then the last ones."""
        kept = list(keys)
        while kept and sum(map(self._room, kept)) > room:
            idle = [key for key in kept if not key[3]]
            kept.remove((idle or kept)[-1])
        return kept

    @staticmethod
    def _counting(key: Shown, more: int) -> Shown:
        words = _("1 more key") if more == 1 else _("{more} more keys", more=more)
        return (*key[:2], words, key[3]) if key[0] == "help" else key

    @staticmethod
    def _room(key: Shown) -> int:
        _, letters, words, enabled = key
        return cell_len(letters) + cell_len(words) + (2 if enabled else 4) + 1

    def render_line(self, y: int) -> Strip:
        del y
        named, runs = colours(self.app), [Run(" ", "ink")]
        for __, key, words, enabled, ___ in self._placed():
            if enabled:
                runs += [Run(key, "key", bold=True), Run(f" {words}", "ink"), Run("  ", "ink")]
            else:
                runs += [Run(f"({key} {words})", "quiet"), Run("  ", "ink")]
        return strip_of(runs, self.size.width, named)

    async def on_click(self, event: events.Click) -> None:
        """Do what the clicked key does."""
        for key in self._placed():
            action, _, _, enabled, first = key
            if enabled and first <= event.x < first + self._room(key[:4]):
                owner = next(
                    active.node
                    for active in self.screen.active_bindings.values()
                    if active.binding.action == action
                )
                await self.app.run_action(action, owner)
                return
