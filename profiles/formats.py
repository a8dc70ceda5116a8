"""The text of a file of an older format as one of today: comments and order stay as they are."""

from rules.formats import Format, brought_up
from rules.plain_data import toml

_BOM = "\ufeff"


def text_of_today(text: str, form: Format) -> str:
    """Return the text of a TOML file as one of today's format: unchanged where it is one already.

    What cannot be read stays as it is too: its reader says what is wrong with it.
    """
    if form.number == 1 or form.as_it_stands:
        return text
    body = text.removeprefix(_BOM)
    try:
        older = form.of(toml(body, any_number=True)) < form.number
    except ValueError:
        return text
    if not older:
        return text
    # Most files are of today, and reading one does not wait for what edits need.
    import tomlkit

    document = tomlkit.parse(body)
    brought_up(document, form)
    return text[: len(text) - len(body)] + tomlkit.dumps(document)
