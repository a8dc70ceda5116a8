"""A rule of a crew's own, on top of the book that ships."""

from rules.book import Book, with_own

OWN_RULE = """
[[rule]]
id = "own-idea"
symptom = "{symptom}"
order = {order}
lever = {lever}
direction = "{direction}"
first_step = "one"
cause = "{text}"
why = "We believe in it."
expect = "A better pass."
look_for = "The time slip."
put_back_if = "It got worse."
wrong_when = ["The track changed."]
caution = "Careful."
basis = "our own notes"
fires = [{{ answers = {{}} }}]
silent = [{{ answers = {{}} }}]
"""
VALVING = '{ part = "valving", axle = "front" }'


def own(
    symptom: str, lever: str, direction: str, text: str = "Our own idea.", order: int = 1
) -> Book:
    """Return the book with the rule; `text` is its cause."""
    page = OWN_RULE.format(
        symptom=symptom, lever=lever, direction=direction, text=text, order=order
    )
    return with_own({"own.toml": page})
