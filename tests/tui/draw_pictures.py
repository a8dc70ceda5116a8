"""Draws the pictures of the read-me: python tests/tui/draw_pictures.py"""

import asyncio
import re
from pathlib import Path

from roads import BY_NAME

from tui.app import SetdownApp

DOCS = Path(__file__).parents[2] / "docs"
FONT_FROM_THE_NET = re.compile(r"@font-face \{.*?\}\s*", re.S)


async def draw(name: str, file: str) -> None:
    """Draw one screen at 80x24, without fonts from the net."""
    road = BY_NAME[name]
    app = SetdownApp(road.desk(), settle_s=0)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press(*road.press)
        await pilot.pause()
        picture = app.export_screenshot(title="setdown demo")
    (DOCS / file).write_text(FONT_FROM_THE_NET.sub("", picture), encoding="utf-8")


async def main() -> None:
    await draw("advice", "advice.svg")
    await draw("work order", "work-order.svg")


if __name__ == "__main__":
    asyncio.run(main())
