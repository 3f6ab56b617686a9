"""What to buy for the whole episode and what it comes to at the till (rules M2 and M3)."""

from __future__ import annotations

from shootplan.model.episode import PriceRow
from shootplan.model.larder import StorageLife
from shootplan.model.money import Money
from shootplan.model.quantity import Amount
from shootplan.records import dataclass

__all__ = ["Bill", "NeededFor", "Shopping", "ShoppingItem"]


@dataclass(frozen=True, slots=True, kw_only=True)
class NeededFor:
    """How much of an item one recipe needs, in the item's unit; ``is_optional`` if only options need it."""

    recipe: str
    amount: Amount
    is_optional: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class ShoppingItem:
    """
    One item of the list, all amounts in the unit of ``pack``.

    ``need`` is what one making of each recipe takes, ``doubles`` what extra batches and ``spares`` what retakes add;
    ``spares_cost`` is the part of the packs that retakes use up, in no published cost (rule M3).
    ``to_buy`` is need, doubles and spares less ``stock``; loose goods are bought exactly, others in ``packs`` whole
    packs. ``till`` contains the deposits. ``leftover`` is what stays over, stock included; ``keeps`` how long the item
    keeps in the fridge as bought, where a publisher says.
    """

    item: str
    row: PriceRow
    pack: Amount
    need: Amount
    doubles: Amount
    spares: Amount
    spares_cost: Money
    stock: Amount
    to_buy: Amount
    packs: int
    till: Money
    deposit: Money
    leftover: Amount
    needed_for: tuple[NeededFor, ...] = ()
    keeps: StorageLife | None = None

    @property
    def is_loose(self) -> bool:
        """Whether it is bought by weight rather than by the pack."""
        return self.row.is_loose


@dataclass(frozen=True, slots=True, kw_only=True)
class Bill:
    """A sum at the till in the currency's places, and what is paid in cash where tills round (``None``: the same)."""

    total: Money
    in_cash: Money | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Shopping:
    """
    The list and three bills.

    ``bill`` is this list: stock, doubles and spares reckoned in. ``empty_cupboard`` and
    ``empty_cupboard_with_options`` are what a viewer pays who starts with nothing: no stock, no doubles, no spares.
    ``not_on_list`` are items whose need is not known; the bills are then "at least".
    """

    currency: str
    places: int
    items: tuple[ShoppingItem, ...]
    bill: Bill
    empty_cupboard: Bill
    empty_cupboard_with_options: Bill
    not_on_list: tuple[str, ...] = ()

    def item(self, name: str) -> ShoppingItem | None:
        """Return the item of that name, letters' case apart, or ``None``."""
        return next((item for item in self.items if item.item.casefold() == name.casefold()), None)
