"""What can still become of a line that is being typed: told at once, not only on Enter."""

from rules.question import AnswerError, Prompt, check


def no_way_on(prompt: Prompt, line: str) -> str:
    """Say what is wanted where nothing typed behind a line can make it fit; "" as long as it can.

    A number typed with digits alone says for itself what it takes (`rules.digits`).
    """
    typed = line.strip().replace(",", ".")
    if prompt.kind not in ("text", "number") or prompt.digits is not None or not typed:
        return ""
    if prompt.kind == "text":
        return f"at most {prompt.longest} characters" if len(typed) > prompt.longest else ""
    try:
        check(prompt, typed)
    except AnswerError:
        return "" if _may_fit(prompt, typed) else f"{prompt.low:g} to {prompt.high:g} {prompt.unit}"
    return ""


def _may_fit(prompt: Prompt, typed: str) -> bool:
    """Tell whether more digits behind a number that does not fit may make it fit."""
    if typed in ("-", "+", ".", "-.", "+."):
        return prompt.low <= 0.0 or not typed.startswith("-")
    try:
        number = float(typed)
    except ValueError:
        return False
    if prompt.decimals and typed.isdecimal():
        return bool(number / 10**prompt.decimals <= prompt.high)
    _, point, decimals = typed.partition(".")
    step: float = 10.0 ** -len(decimals)
    least, most = (number, number + step) if not typed.startswith("-") else (number - step, number)
    if point:
        return most > prompt.low and least < prompt.high
    # Without a point more digits only take it further from nought.
    return number > prompt.high if typed.startswith("-") else number < prompt.low
