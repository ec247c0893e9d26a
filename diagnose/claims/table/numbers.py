"""Numbers as people write them: decimal commas, thousands marks, fractions of an inch.

Only what can be read in one way is read. '1.430,50', '1,430.50', '20,5' and '3/4' can; '1,250' is
more than a thousand in one country and a little over one in another, unless the mapping says which.
"""

from __future__ import annotations

import re

from diagnose.measures.quantity import Quantity

DECIMALS = ("comma", "point")
"""What a mapping may say that decimals are set off by."""

_TOKEN = re.compile(r"\d+(?:[.,'’ \u00a0\u202f]\d+)*")
_GROUPS = re.compile(r"(\d{1,3})(?:([.,'’ \u00a0\u202f])\d{3})(?:\2\d{3})*(?:([.,])\d+)?")
_SIMPLE = re.compile(r"(\d+)[.,](\d+)")
_FRACTION = re.compile(r"(?<![\d.,/])(?:(\d+)[ \u00a0-])?(\d+)\s*/\s*(\d+)(?![\d.,/])")

TWO_WAYS = r"^\s*-?[1-9]\d{0,2}\.\d{3}\s*$"
"""A number that may be a thousand times another, as for a search."""


def pointed(text: str, decimal: str = "") -> str:
    """The text with each number that is sure written with a decimal point and no other marks.

    >>> pointed("1.430,50"), pointed("20,5 °C"), pointed("1,250"), pointed("1,250", "comma")
    ('1430.50', '20.5 °C', '1,250', '1.250')
    """
    return _TOKEN.sub(lambda found: _pointed(found[0], decimal), _FRACTION.sub(_fraction, text))


def _fraction(found: re.Match[str]) -> str:
    whole, top, bottom = found.groups()
    if not int(bottom):
        return found[0]
    return f"{int(whole or 0) + int(top) / int(bottom):.6g}"


def _pointed(token: str, decimal: str) -> str:
    groups = _GROUPS.fullmatch(token)
    if groups is None:
        simple = _SIMPLE.fullmatch(token)
        return f"{simple[1]}.{simple[2]}" if simple else token
    first, mark, point = groups.groups()
    if point == mark:
        return token
    if point:
        return _without(token[: token.rindex(point)]) + "." + token[token.rindex(point) + 1 :]
    if mark not in ".," or token.count(mark) > 1:
        return _without(token)
    if decimal or first == "0":
        is_point = first == "0" or mark == ("," if decimal == "comma" else ".")
        return token.replace(mark, ".") if is_point else _without(token)
    return token


def _without(token: str) -> str:
    return re.sub(r"\D", "", token)


# money

CURRENCIES = {"€": "EUR", "£": "GBP", "$": "USD", "¥": "JPY", "₣": "CHF", "₹": "INR", "zł": "PLN"}
"""Signs of currencies with the codes of ISO 4217 that they stand for most."""

CODES = (
    *("EUR", "GBP", "USD", "CHF", "SEK", "NOK", "DKK", "PLN", "CZK", "HUF", "RON", "BGN", "TRY"),
    *("AUD", "NZD", "CAD", "JPY", "CNY", "INR", "ZAR", "BRL", "MXN", "AED", "SGD", "HKD", "KRW"),
)
_CODE = re.compile(rf"(?<![^\W\d_])({'|'.join(CODES)})(?![^\W\d_])")
_AROUND = re.compile(
    r"\b(approx(imately)?|about|around|circa|ca|roughly)\b\.?|[~≈]"
    r"|\b(ex|excl|inc|incl|plus|net|gross|before|with|without)?\.?\s*(vat|tax|mwst|gst)\b\.?",
    re.IGNORECASE,
)
"""Words beside an amount that leave it what it is."""


def currency(text: str) -> str:
    """The code of the currency that stands in a text, or ''.

    >>> currency("£ 250 ex VAT"), currency("110 EUR"), currency("90")
    ('GBP', 'EUR', '')
    """
    for sign, code in CURRENCIES.items():
        if sign in text:
            return code
    found = set(_CODE.findall(text))
    return found.pop() if len(found) == 1 else ""


def without_currency(text: str) -> str:
    """A text without signs and codes of money.

    >>> without_currency("Amount EUR"), without_currency("Claim, £")
    ('Amount ', 'Claim, ')
    """
    for sign in CURRENCIES:
        text = text.replace(sign, "")
    return _CODE.sub("", text)


def amount(text: str, decimal: str = "") -> Quantity | str:
    """An amount of money from 0 to a thousand million, or why it is none.

    >>> amount("approx £1.250,50 ex VAT").low, amount("1,250")
    (1250.5, "can be read in two ways: say 'decimal: comma' or 'point' in the mapping")
    """
    bare = _AROUND.sub(" ", text)
    for sign in (*CURRENCIES, currency(bare)):
        bare = bare.replace(sign, " ") if sign else bare
    plain = pointed(bare.strip().removesuffix(",-").removesuffix(".-").strip(), decimal)
    if not decimal and re.fullmatch(r"-?[1-9]\d{0,2}[.,]\d{3}", plain):
        return "can be read in two ways: say 'decimal: comma' or 'point' in the mapping"
    try:
        value = float(plain)
    except ValueError:
        return (
            "is no amount: a plain number; a currency beside it is named as 'unit' in the mapping"
        )
    fits = 0 <= value <= 1e9
    return Quantity(value, value) if fits else "is no amount from 0 to a thousand million"
