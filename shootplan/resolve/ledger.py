"""
The account of one thing that steps use: what was taken, what is set aside, and whether it adds up to the whole.

Shares are exact parts of the whole (1 is all of it). The ledger knows no names and raises no problems; ``parts`` does.
"""

from __future__ import annotations

from fractions import Fraction

from shootplan.model.quantity import Amount
from shootplan.model.recipe import Mention, Part, PartKind
from shootplan.records import dataclass
from shootplan.resolve.amounts import in_unit
from shootplan.resolve.things import Thing

__all__ = ["Ledger", "share_of"]


@dataclass(slots=True)
class Ledger:
    """
    What has been used of a thing, and what is set aside and not used yet.

    ``was_held`` remembers that something was ever set aside, ``whole_uses`` how often all of it was used at once.
    """

    used: Fraction = Fraction(0)
    held: Fraction = Fraction(0)
    was_held: bool = False
    mentions: int = 0
    whole_uses: int = 0

    @property
    def left(self) -> Fraction:
        """What is neither used nor set aside; never below nothing."""
        return max(Fraction(0), 1 - self.used - self.held)

    @property
    def total(self) -> Fraction:
        """What is used or set aside in all; above 1 where steps use more than there is."""
        return self.used + self.held

    def take(self, share: Fraction, *, is_whole: bool = False) -> None:
        """Use a share."""
        self.used += share
        self.mentions += 1
        self.whole_uses += is_whole

    def hold_back(self, share: Fraction) -> None:
        """Set a share aside; where all is in the pan already, it is taken out of that again."""
        if self.left < share <= self.used:
            self.used -= share
        self.held += share
        self.was_held = True
        self.mentions += 1

    def use_held(self) -> Fraction:
        """Use what is set aside and return how much that was."""
        share, self.held = self.held, Fraction(0)
        self.take(share)
        return share


def share_of(mention: Mention, thing: Thing, ledger: Ledger, system: str) -> Fraction | None:
    """
    Return the share of the whole that a mention speaks of, or ``None`` if its amount cannot be compared.

    "all but" counts from the whole, "rest" is what is neither used nor set aside at that point of the method.
    """
    part = mention.part
    if part.kind is PartKind.WHOLE:
        return Fraction(1)
    if part.kind is PartKind.FRACTION:
        return part.fraction
    if part.kind is PartKind.REST:
        return ledger.left
    if part.kind is PartKind.HELD_BACK:
        return ledger.held
    share = _amount_share(part, thing, system)
    if share is None or part.kind is PartKind.AMOUNT:
        return share
    return max(Fraction(0), 1 - share)


def _amount_share(part: Part, thing: Thing, system: str) -> Fraction | None:
    """Return a part's amount over the first of the thing's measures that is of the same kind."""
    if part.amount is None:
        return part.fraction
    for whole in thing.measures:
        same: Amount | None = in_unit(part.amount, whole.unit, system=system, item=thing.name)
        if same is not None:
            return same.high / whole.high
    return None
