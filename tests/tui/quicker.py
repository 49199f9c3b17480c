"""What costs the most of a test in Textual, done once where Textual does it each time; the answers are the same.

An ordinary run takes them, so that a journey costs less of the processor. A run with `--deep` leaves Textual as it is.
"""

from collections.abc import Callable, Iterable, Mapping
from inspect import CO_VARARGS, CO_VARKEYWORDS
from types import FunctionType, MethodType
from typing import Any

import textual._callback
from textual import dom, message_pump, screen, widget
from textual.css import match, query
from textual.css.model import CombinatorType, RuleSet, Selector, SelectorSet
from textual.css.styles import RenderStyles
from textual.css.stylesheet import Stylesheet
from textual.dom import DOMNode
from textual.message import Message
from textual.message_pump import MessagePump
from textual.reactive import Reactive

Step = tuple[type, Any, dict[str, Any] | None]
_handlers: dict[tuple[type, str, type], list[Step]] = {}
_computed: dict[tuple[type, str], bool] = {}


def _steps(cls: type, method_name: str, message_class: type) -> list[Step]:
    """What may handle such a message, in the order in which Textual asks: its class, the handler, and its selectors."""
    ancestry = [one for one in message_class.__mro__ if issubclass(one, Message)]
    steps: list[Step] = []
    for owner in cls.__mro__:
        decorated = owner.__dict__.get("_decorated_handlers") or {}
        steps += [(owner, *handler) for one in ancestry for handler in decorated.get(one, ())]
        method = owner.__dict__.get(f"_{method_name}") or owner.__dict__.get(method_name)
        if method is not None and not getattr(method, "_textual_on", None):
            steps.append((owner, method, None))
    return steps


_textuals_methods: Callable[..., Any] = MessagePump._get_dispatch_methods


def _dispatch_methods(pump: MessagePump, method_name: str, message: Message) -> Iterable[Any]:
    """The handlers of a message: looked up once for each class, unless what it came from has to be looked at."""
    key = (type(pump), method_name, type(message))
    steps = _handlers.get(key)
    if steps is None:
        steps = _handlers[key] = _steps(*key)
    if any(selectors for _, _, selectors in steps):
        return _textuals_methods(pump, method_name, message)
    return _plain(pump, steps, message) if steps else ()


def _plain(pump: MessagePump, steps: list[Step], message: Message) -> Iterable[Any]:
    dispatched, owner_before = set(), None
    for owner, method, selectors in steps:
        if owner is not owner_before and message._no_default_action:
            return
        owner_before = owner
        if selectors is None or method not in dispatched:
            if selectors is not None:
                dispatched.add(method)
            yield owner, method.__get__(pump, owner)


def _rule(styles: RenderStyles, rule_name: str, default: object = None) -> object:
    """A rule that was set on the widget itself, or else by a style sheet."""
    own = styles._inline_styles._rules
    if rule_name in own:
        return own.get(rule_name, default)
    return styles._base_styles._rules.get(rule_name, default)


_textuals_get: Callable[..., Any] = Reactive.__get__


def _value(reactive: Any, obj: Any, obj_type: Any) -> Any:
    """The value of a reactive, which is where it was put unless it is computed or was never asked for."""
    if obj is not None:
        key = (type(obj), reactive.compute_name)
        computed = _computed.get(key)
        if computed is None:
            computed = _computed[key] = hasattr(type(obj), reactive.compute_name)
        if not computed:
            held = obj.__dict__
            if reactive.internal_name in held and "_id" in held:
                return held[reactive.internal_name]
    return _textuals_get(reactive, obj, obj_type)


def _fits(selector_set: SelectorSet, node: DOMNode) -> bool:
    """Whether a node is what the selectors mean: looked at from itself upwards, where Textual begins at the app.

    Most selectors that are asked fail on the node itself, and most others are alone.
    """
    selectors = selector_set.selectors
    if not selectors[-1].check(node):
        return False
    if any(one.combinator is not CombinatorType.DESCENDENT for one in selectors):
        return _textuals_check(selectors, node.css_path_nodes)
    wanted, above = len(selectors) - 2, node._parent
    while wanted >= 0 and isinstance(above, DOMNode):
        wanted -= selectors[wanted].check(above)
        above = above._parent
    return wanted < 0


_textuals_check: Callable[[list[Selector], list[DOMNode]], bool] = match._check_selectors


def _specificities(rule_set: RuleSet, path: list[DOMNode]) -> list[Any]:
    """How specific each selector of a rule is that means the last node of a path."""
    return [one.specificity for one in rule_set.selector_set if _fits(one, path[-1])]


def _match(selector_sets: Iterable[SelectorSet], node: DOMNode) -> bool:
    """Whether a node is what any of these selectors mean."""
    return any(_fits(one, node) for one in selector_sets)


def _replace_rules(
    cls: type[Stylesheet], node: DOMNode, rules: Mapping[str, Any], animate: bool = False
) -> None:
    """Put other rules in the place of a node's; those that are as they were are left alone."""
    if animate:
        _textuals_replace(node, rules, animate=True)
        return
    styles: Any = node.styles.base
    held = styles._rules
    for name in held.keys() | rules.keys():
        value = rules.get(name)
        if name not in held or (held[name] is not value and held[name] != value):
            setattr(styles, name, value)
    node.notify_style_update()


_textuals_replace: Callable[..., Any] = Stylesheet.replace_rules


def _count_parameters(func: Any) -> int:
    """How many parameters a callable has."""
    if isinstance(func, MethodType) and isinstance(func.__func__, FunctionType):
        return _count_parameters(func.__func__) - 1
    if (
        not isinstance(func, FunctionType) or func.__dict__
    ):  # what is wrapped has other parameters than itself
        return _textuals_count(func)
    code = func.__code__
    more = bool(code.co_flags & CO_VARARGS) + bool(code.co_flags & CO_VARKEYWORDS)
    return code.co_argcount + code.co_kwonlyargcount + more


_textuals_count = textual._callback._count_parameters


def take() -> None:
    """Take them from now on."""
    Stylesheet._check_rule = staticmethod(_specificities)  # type: ignore[method-assign,assignment]
    Stylesheet.replace_rules = classmethod(_replace_rules)  # type: ignore[method-assign,assignment]
    for module in (dom, message_pump, query, screen, widget):
        module.match = _match  # type: ignore[attr-defined]
    textual._callback._count_parameters = _count_parameters
    MessagePump._get_dispatch_methods = _dispatch_methods  # type: ignore[method-assign]
    RenderStyles.get_rule = _rule  # type: ignore[assignment,method-assign]
    Reactive.__get__ = _value  # type: ignore[assignment,method-assign]
    RuleSet.__hash__ = object.__hash__  # type: ignore[method-assign,assignment]
