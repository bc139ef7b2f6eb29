"""What is said of bands at hand, on paper and page: the right stretch, where to tie, the verdict.

``said`` writes a length in mm for who reads it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator

from wheelgeo.check.answer_parts import BandAnswer
from wheelgeo.design.joints import Joint, growth_of
from wheelgeo.design.model import Design
from wheelgeo.shop.old_wheel_words import RINGS_KNOWN, to_take
from wheelgeo.tune.bands_to_have import BandsToHaveAnswer, BandToHave

Said = Callable[[float], str]


def told_below(
    answer: BandsToHaveAnswer, made: BandAnswer, design: Design, said: Said
) -> Iterator[str]:
    """Yield what is to be known of all bands at hand.

    Args:
        answer: what each does.
        made: the band of the wheel for which they are.
        design: the wheel.
        said: writes a length.
    """
    yield _how_to_read(answer)
    if not any(one.fits for one in answer.bands):
        material = design.band(made.name).material
        yield (
            f"None of these fits. Of the {material} that it is made for, "
            f"{to_take(made, design, said)}."
        )
    if any(one.taken_as == "ring" for one in answer.bands):
        yield RINGS_KNOWN
    yield _growth(answer)


def _how_to_read(answer: BandsToHaveAnswer) -> str:
    """Say what stretch is right for each material, and what the figures of each band mean."""
    usual = {b.material: f"{100 * b.stretch_from:g} to {100 * b.stretch_to:g} %"
             for b in answer.bands}  # fmt: skip
    right = "; ".join(f"{material} by {stretch}" for material, stretch in usual.items())
    says = f"Right stretch: {right} ({answer.stretch_source})."
    if answer.slide is not None:
        says += (
            " Stretch and pull are at the two ends of the slide; tie it where the slide stands "
            "between these places, nearer to the band's other pulley or farther from it than it "
            "stands, as measured or in the file."
        )
    says += " Room: how much the band may still grow."
    if any(one.taken_as == "cord" for one in answer.bands):
        says += ' A band that is joined already is told as a loop: "76 in loop".'
    return says


def _growth(answer: BandsToHaveAnswer) -> str:
    """Say how much bands of these materials grow."""
    materials = dict.fromkeys(b.material for b in answer.bands)
    grows = "; ".join(f"{m} by about {100 * growth_of(m).in_all:g} %" for m in materials)
    return f"Growth in the first year: {grows} (common practice, no source): leave that much room."


def verdict(one: BandToHave, joint: Joint, said: Said) -> str:
    """Say whether a band does, and what to cut.

    Args:
        one: the band.
        joint: of the wheel's own cord.
        said: writes a length.
    """
    says = one.says
    if one.cut_with_joint_mm is not None:
        says = f"cut {said(one.cut_with_joint_mm)}, joint included: {says}"
    if one.cut_for_room_mm is not None:
        near = "" if one.at_from == one.at_to else " and tie it at the slide's near end"
        more = "" if one.taken_as == "reel" else joint.to_tie_by(one.cut_for_room_mm, said)
        says += f", or cut {said(one.cut_for_room_mm)} now, joint included{more},{near}"
    return says.rstrip(",")


def tie_it(one: BandToHave, said: Said) -> str:
    """Return between which places of the slide to tie it, nearer to the wheel and farther.

    Empty where the stretch is right nowhere.
    """
    if one.tie_from_mm is None or one.tie_to_mm is None:
        return ""
    if one.at_from == one.at_to:
        return _AS_IT_STANDS
    # Which way the travel is counted is the file's affair; a longer path is farther away.
    rising = one.at_from is None or one.at_to is None or one.at_to.stretch >= one.at_from.stretch
    near, far = (one.tie_from_mm, one.tie_to_mm) if rising else (-one.tie_to_mm, -one.tie_from_mm)
    return " to ".join(dict.fromkeys(_place(at, said) for at in (near, far)))


_AS_IT_STANDS = "as it stands"


def _place(farther_mm: float, said: Said) -> str:
    """Return a place of the slide against where it was measured."""
    size = said(abs(farther_mm))
    if size == said(0.0):
        return _AS_IT_STANDS
    return f"{size} {'farther' if farther_mm > 0.0 else 'nearer'}"
