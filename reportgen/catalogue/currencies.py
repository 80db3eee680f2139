"""Currencies: how many decimals their smallest coin has, and what is rounded to it.

Knows signs and codes. Refuses to know prices and how they are printed.
"""

from __future__ import annotations

import re
from decimal import ROUND_HALF_UP, Decimal

_NONE = frozenset(
    ("BIF", "CLP", "DJF", "GNF", "ISK", "JPY", "KMF", "KRW", "PYG", "RWF", "UGX", "VND", "VUV", "XAF", "XOF", "XPF", "¥", "₩")
)  # fmt: skip
_THREE = frozenset(("BHD", "IQD", "JOD", "KWD", "LYD", "OMR", "TND"))
"""Currencies without cents, and with thousandths (ISO 4217, minor units; from memory)."""


_SIGNS = {
    "EUR": "€", "GBP": "£", "INR": "₹", "KRW": "₩", "TRY": "₺", "UAH": "₴", "ILS": "₪", "VND": "₫", "KZT": "₸", "RUB": "₽",
    "PHP": "₱", "NGN": "₦", "PLN": "zł", "CZK": "Kč",
}  # fmt: skip
"""Signs of one currency alone (from memory): that of dollars, of yen and yuan and of crowns is several countries' own."""
_SHARED = ("$", "¥")


def without_currency(text: str, currency: str) -> str:
    """A price without the maker's own currency before or behind it; with any other it stays as it is.

    >>> [without_currency(one, "EUR") for one in ("€ 58,50", "29 eur", "€29", "$ 12", "12", "EUR")]
    ['58,50', '29', '29', '$ 12', '12', 'EUR']
    >>> without_currency("12 $", "$"), without_currency("$ 12", "USD"), without_currency("EUR 9", "€")
    ('12', '$ 12', '9')
    """
    code = currency.strip()
    names = {code, _SIGNS.get(code.upper(), ""), *(known for known, sign in _SIGNS.items() if sign == code)} - {""}
    if not names:
        return text
    either, price = "|".join(map(re.escape, names)), r"(\d(?:.*\d)?)"
    match = re.fullmatch(rf"(?:{either})\s*{price}|{price}\s*(?:{either})", text.strip(), re.IGNORECASE)
    return match[1] or match[2] if match else text


def is_another(sign: str, currency: str) -> bool:
    """True where a sign or code is for certain of another currency than the maker's; those that several countries have in common may be his.

    >>> [is_another(sign, "EUR") for sign in ("$", "£", "gbp", "€", "eur", "kr", "ca.")]
    [True, True, True, False, False, False, False]
    >>> is_another("$", "USD"), is_another("€", "USD"), is_another("$", "NZD"), is_another("€", "Euro"), is_another("€", "")
    (False, True, False, False, False)
    """
    codes = {one: code for code, one in _SIGNS.items()}
    theirs, ours = (codes.get(one.strip(), one.strip().upper()) for one in (sign, currency))
    if theirs in _SHARED:
        return ours in _SIGNS
    return theirs in _SIGNS and theirs != ours and (ours in _SHARED or re.fullmatch("[A-Z]{3}", ours) is not None)


def decimals_of(currency: str) -> int:
    """Decimals of the smallest coin of a currency, by its code or sign; two where it is not known.

    >>> decimals_of("EUR"), decimals_of("jpy"), decimals_of("KWD"), decimals_of("")
    (2, 0, 3, 2)
    """
    code = currency.strip().upper()
    return 0 if code in _NONE else 3 if code in _THREE else 2


def with_currency(amount: float, currency: str) -> str:
    """An amount to its smallest coin, with its currency.

    >>> with_currency(129.5, "EUR"), with_currency(12500.2, "JPY")
    ('129.50 EUR', '12\\xa0500 JPY')
    """
    return f"{grouped(amount, currency)} {currency}".rstrip()


def grouped(amount: float | Decimal, currency: str) -> str:
    """An amount to its smallest coin, in groups of three that do not break (ISO 80000-1), without its currency.

    >>> grouped(1234.5, "EUR"), grouped(-1234.0, "JPY")
    ('1\\xa0234.50', '−1\\xa0234')
    """
    return f"{amount:,.{decimals_of(currency)}f}".replace(",", "\u00a0").replace("-", "−")


def rounded(price: Decimal, step: float, currency: str) -> Decimal:
    """A price at the nearest multiple of `step`, halves up, and never finer than the smallest coin.

    >>> rounded(Decimal("129.975"), 0.05, "EUR"), rounded(Decimal("1234.50"), 1.0, "EUR"), rounded(Decimal("0.125"), 0.01, "EUR")
    (Decimal('130.00'), Decimal('1235.00'), Decimal('0.13'))
    >>> rounded(Decimal("12500.5"), 0.01, "JPY"), rounded(Decimal("1.0625"), 0.01, "KWD")
    (Decimal('12501'), Decimal('1.060'))
    """
    coin = Decimal(1).scaleb(-decimals_of(currency))
    size = max(Decimal(repr(step)), coin)
    return ((price / size).quantize(Decimal(1), ROUND_HALF_UP) * size).quantize(
        min(coin, size.normalize(), key=_finest)
    )


def _finest(size: Decimal) -> int:
    return int(size.as_tuple().exponent)


def sheet_format(currency: str) -> str:
    """The number format of a column of prices.

    >>> sheet_format("EUR"), sheet_format("JPY")
    ('#,##0.00', '#,##0')
    """
    decimals = decimals_of(currency)
    return f"#,##0.{'0' * decimals}" if decimals else "#,##0"
