"""Codes of authenticator apps against the values of RFC 6238 and RFC 4226.

RFC 6238, appendix B (TOTP, eight digits, steps of 30 seconds from the epoch); RFC 4226, appendix D (HOTP, six digits).
Seen in other projects' tests that quote the appendices row by row, all alike; the RFCs themselves were not opened.
"""

import base64
import hashlib
from datetime import UTC, datetime
from typing import Any

import pyotp
import pytest

from config.accounts.second_factor import step_of

SEED = b"12345678901234567890"
#: The seeds of SHA-256 and SHA-512 repeat these digits up to the hash's length.
SEEDS = {"SHA1": SEED, "SHA256": (SEED * 2)[:32], "SHA512": (SEED * 4)[:64]}
#: RFC 6238, appendix B: seconds, and the code by each hash.
TOTP = [
    (59, "94287082", "46119246", "90693936"),
    (1111111109, "07081804", "68084774", "25091201"),
    (1111111111, "14050471", "67062674", "99943326"),
    (1234567890, "89005924", "91819424", "93441116"),
    (2000000000, "69279037", "90698825", "38618901"),
    (20000000000, "65353130", "77737706", "47863826"),
]
#: RFC 4226, appendix D: the codes of counters 0 to 9.
HOTP = ["755224", "287082", "359152", "969429", "338314", "254676", "287922", "162583", "399871", "520489"]


def _base32(name: str) -> str:
    return base64.b32encode(SEEDS[name]).decode().rstrip("=")


@pytest.mark.parametrize(("seconds", "sha1", "sha256", "sha512"), TOTP)
def test_the_library_gives_the_codes_of_rfc_6238(seconds: int, sha1: str, sha256: str, sha512: str) -> None:
    digests: dict[str, Any] = {"SHA1": hashlib.sha1, "SHA256": hashlib.sha256, "SHA512": hashlib.sha512}
    for name, code in (("SHA1", sha1), ("SHA256", sha256), ("SHA512", sha512)):
        totp = pyotp.TOTP(_base32(name), digits=8, digest=digests[name])
        assert totp.at(seconds) == code


@pytest.mark.parametrize("counter", range(10))
def test_the_library_gives_the_codes_of_rfc_4226(counter: int) -> None:
    assert pyotp.HOTP(_base32("SHA1")).at(counter) == HOTP[counter]


@pytest.mark.parametrize("row", TOTP)
def test_a_code_is_taken_in_its_own_step_and_its_neighbors_alone(row: tuple[int, str, str, str]) -> None:
    """An app shows six digits: the last six of the eight (RFC 4226, 5.3: the value modulo a power of ten)."""
    seconds, code = row[0], row[1][-6:]
    step = seconds // 30
    # The library knows no time before the epoch.
    for distance in range(-2 if seconds >= 60 else -1, 3):
        at = datetime.fromtimestamp(seconds + 30 * distance, UTC)
        assert step_of(_base32("SHA1"), code, at) == (step if abs(distance) <= 1 else None)


def test_the_counters_of_rfc_4226_are_the_steps_of_rfc_6238() -> None:
    for counter, code in enumerate(HOTP):
        assert step_of(_base32("SHA1"), code, datetime.fromtimestamp(counter * 30, UTC)) == counter
