"""Cards as a browser draws them: every letter inside its box, everything else transparent."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from shootplan.model.cut import Caption, CaptionKind, Cut
from shootplan.timing.cards import write_cards

if TYPE_CHECKING:
    from playwright.sync_api import Browser

pytestmark = pytest.mark.browser

TEXTS = (
    "900 g floury potatoes £0.70",
    "2 tins butter beans £1.40\nWWWWWWWWWW MMMMMMMMMM",
    "½ ⅔ ¾ % @ & ÆŒ ß 200 °C / fan 180 °C",
    'iiiiilllll "quoted" (in brackets) – [x]',
    "ABCDEFGHIJKLMNOPQRSTUVWXYZ\nabcdefghijklmnopqrstuvwxyz 0123456789",
)
_OUT = """() => { const box = document.querySelector('rect').getBBox();
  return [...document.querySelectorAll('text')].filter(item => { const text = item.getBBox();
    return text.x < box.x || text.x + text.width > box.x + box.width || text.y + text.height > box.y + box.height + 2
      || text.y < box.y - 2; }).map(item => item.textContent); }"""


@pytest.mark.parametrize("is_vertical", [False, True])
@pytest.mark.parametrize("face", ["", "DejaVu Sans", "DejaVu Sans Condensed"])
def test_letters_stay_inside_their_box(browser: Browser, tmp_path: Path, is_vertical: bool, face: str) -> None:
    """In the face that this machine has for ours, in the widest of the usual ones and in a narrow one."""
    captions = tuple(
        Caption(
            id=f"c.{n}", row="r", kind=CaptionKind.STEP, text=text, in_ms=n * 9000, out_ms=n * 9000 + 5000, need_ms=5000
        )
        for n, text in enumerate(TEXTS)
    )
    cut = Cut(sections=(), captions=captions, length_ms=60_000, is_vertical=is_vertical)
    page = browser.new_page()
    for name, text in write_cards(cut).items():
        path = tmp_path / name
        path.write_text(text.replace('font-family="', f'font-family="{face}, ' if face else 'font-family="'))
        page.goto(path.as_uri())
        assert page.evaluate(_OUT) == [], name
    page.close()


def test_around_the_box_the_card_is_transparent(browser: Browser, tmp_path: Path) -> None:
    """The corner of the drawn picture has no colour, the box is opaque."""
    caption = Caption(id="c", row="r", kind=CaptionKind.STEP, text="Drain", in_ms=0, out_ms=2200, need_ms=2200)
    (card,) = write_cards(Cut(sections=(), captions=(caption,), length_ms=3000)).values()
    page = browser.new_page()
    page.set_content(f'<canvas width="1920" height="1080"></canvas><template>{card}</template>')
    alpha = page.evaluate(
        """async () => {
          const canvas = document.querySelector('canvas').getContext('2d'), image = new Image();
          const card = document.querySelector('template').content.querySelector('svg');
          const text = new XMLSerializer().serializeToString(card);
          image.src = 'data:image/svg+xml,' + encodeURIComponent(text);
          await image.decode();
          canvas.drawImage(image, 0, 0);
          return [[5, 5], [1900, 1000], [100, 112]].map(([x, y]) => canvas.getImageData(x, y, 1, 1).data[3]);
        }"""
    )
    page.close()
    assert alpha == [0, 0, 255]
