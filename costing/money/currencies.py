"""Minor units of currencies.

References
----------
ISO 4217, list of the maintenance agency of 2026-01-01, as carried by the package iso4217 1.16.20260101.
Codes without a minor unit (gold, special drawing rights, test codes) are left out: nothing is charged in them.
CLDR, which display libraries follow, disagrees for some codes (IQD, MGA): never take minor units from there.
"""

from __future__ import annotations

_TWO = """
AED AFN ALL AMD AOA ARS AUD AWG AZN BAM BBD BDT BMD BND BOB BOV BRL BSD BTN BWP BYN BZD CAD CDF CHE CHF CHW
CNY COP COU CRC CUP CVE CZK DKK DOP DZD EGP ERN ETB EUR FJD FKP GBP GEL GHS GIP GMD GTQ GYD HKD HNL HTG HUF
IDR ILS INR IRR JMD KES KGS KHR KPW KYD KZT LAK LBP LKR LRD LSL MAD MDL MGA MKD MMK MNT MOP MRU MUR MVR MWK
MXN MXV MYR MZN NAD NGN NIO NOK NPR NZD PAB PEN PGK PHP PKR PLN QAR RON RSD RUB SAR SBD SCR SDG SEK SGD SHP
SLE SOS SRD SSP STN SVC SYP SZL THB TJS TMT TOP TRY TTD TWD TZS UAH USD USN UYU UZS VED VES WST XAD XCD XCG
YER ZAR ZMW ZWG
"""
_NONE = "BIF CLP DJF GNF ISK JPY KMF KRW PYG RWF UGX UYI VND VUV XAF XOF XPF"
_THREE = "BHD IQD JOD KWD LYD OMR TND"
_FOUR = "CLF UYW"

MINOR_DIGITS: dict[str, int] = {
    code: digits for digits, codes in ((2, _TWO), (0, _NONE), (3, _THREE), (4, _FOUR)) for code in codes.split()
}
"""ISO 4217 code -> number of decimals of its minor unit."""
