"""The keys of the pit screen, made of the one table."""

from textual.binding import Binding, BindingType

from tui.keys import KEYS, bound, in_footer_order, shown

PIT_BINDINGS: list[BindingType] = [
    *(
        Binding(
            bound(key),
            f"do('{key.id}')",
            key.label,
            show=bool(key.footer),
            key_display=shown(key.key),
            id=f"pit.{key.id}",
            tooltip=key.help,
        )
        for key in in_footer_order()
    ),
    *(
        Binding(
            key.typing_key,
            f"do('{key.id}', True)",
            key.label,
            key_display=key.typing_key.upper(),
            id=f"pit.{key.id}.typing",
            tooltip=key.help,
        )
        for key in KEYS
        if key.typing_key
    ),
    *(
        Binding(
            key,
            f"corner({by})",
            "corner",
            show=False,
            key_display="← →",
            id=f"pit.corner-{key}",
            tooltip="A corner: its knobs and past",
        )
        for key, by in (("right", 1), ("left", -1))
    ),
    Binding(
        "escape",
        "whole_car",
        "whole car",
        key_display="Esc",
        id="pit.whole-car",
        tooltip="The whole car again",
    ),
    # Behind the one before it: where a corner is picked, Escape lets it go first.
    Binding(
        "escape",
        "do('quit', True)",
        "leave",
        key_display="Esc",
        id="pit.quit.typing",
        tooltip=next(key.help for key in KEYS if key.id == "quit"),
    ),
]
