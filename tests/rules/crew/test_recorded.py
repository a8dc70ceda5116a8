"""Whatever a crew records is said in words of the pit, never by the name of an action."""

from typing import get_args

from rules.crew.actions import Action
from rules.crew.recorded import RECORDED, recorded


def test_every_action_a_form_can_end_in_has_its_words() -> None:
    kinds = get_args(get_args(Action)[0])
    names = {kind.model_fields["action"].default for kind in kinds}
    assert names - {"answer sheet", "say again", "finish sheet"} == set(RECORDED)
    assert recorded("correct") == "Recorded: the correction."
