"""The house's certificate, by what verifies one: a TLS handshake, and X.509 path validation.

Against RFC 5280 (name constraints, 4.2.1.10), CA/Browser-style limits that tablets hold a root
put there by hand to (825 days), and Python's `ssl`, which is OpenSSL's path validation.
"""

from __future__ import annotations

import os
import ssl
from datetime import datetime, timedelta
from pathlib import Path

import pytest
from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509 import verification

from fieldlog import tls
from fieldlog.config import Lan

NAME = "fieldlog-7k2m.local"


def parsed(made: tls.Made) -> tuple[x509.Certificate, x509.Certificate]:
    """Root and leaf."""
    leaf = x509.load_pem_x509_certificate(made.leaf)
    return x509.load_der_x509_certificate(made.root), leaf


def shaken_hands(made: tls.Made, name: str, tmp_path: Path) -> None:
    """A handshake in memory. Raises ssl.SSLError where the client refuses."""
    pem = tmp_path / "leaf.pem"
    pem.write_bytes(made.leaf)
    server_side = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    server_side.load_cert_chain(pem)
    trusting = ssl.create_default_context(cadata=made.root)
    a, b = ssl.MemoryBIO(), ssl.MemoryBIO()
    client = trusting.wrap_bio(a, b, server_hostname=name)
    server = server_side.wrap_bio(b, a, server_side=True)
    for side in (client, server, client, server):
        try:
            side.do_handshake()
        except ssl.SSLWantReadError:
            continue


@pytest.fixture(scope="module")
def made() -> tls.Made:
    """One certificate, begun today: OpenSSL goes by the real clock."""
    from datetime import UTC

    return tls.make(NAME, datetime.now(UTC))


def test_a_client_with_the_root_shakes_hands_under_the_one_name(
    made: tls.Made, tmp_path: Path
) -> None:
    shaken_hands(made, NAME, tmp_path)


@pytest.mark.parametrize("name", ["fieldlog-aaaa.local", "example.test", "127.0.0.1"])
def test_another_name_is_refused(made: tls.Made, tmp_path: Path, name: str) -> None:
    with pytest.raises(ssl.SSLCertVerificationError):
        shaken_hands(made, name, tmp_path)


def test_without_the_root_it_is_refused(made: tls.Made, tmp_path: Path) -> None:
    other = tls.make(NAME, parsed(made)[1].not_valid_before_utc)
    with pytest.raises(ssl.SSLCertVerificationError):
        shaken_hands(tls.Made(other.root, made.leaf), NAME, tmp_path)


def test_the_root_can_vouch_for_no_other_name_or_address(tmp_path: Path) -> None:
    """As if its key had been kept: what it signs for another name is refused all the same."""
    from datetime import UTC

    for wrong in (x509.DNSName("example.test"), x509.IPAddress(tls.ip_network("10.0.0.0/8")[1])):
        forged = forged_by_a_root_like_ours(wrong, datetime.now(UTC))
        shown = str(wrong.value)
        with pytest.raises(ssl.SSLCertVerificationError, match="subtree"):
            shaken_hands(forged, shown, tmp_path)


def forged_by_a_root_like_ours(wrong: x509.GeneralName, now: datetime) -> tls.Made:
    """A root made as ours is, and a leaf for a name outside its constraint."""
    root_key, leaf_key = (ec.generate_private_key(ec.SECP256R1()) for _ in range(2))
    issuer = tls._named("root")
    span = (now - timedelta(days=1), now + timedelta(days=30))
    root = tls._root(issuer, NAME, span, root_key)
    leaf = (
        tls._begun(tls._named("x"), issuer, span, leaf_key.public_key(), root_key.public_key())
        .add_extension(x509.SubjectAlternativeName([wrong]), critical=False)
        .sign(root_key, hashes.SHA256())
    )
    pem = serialization.Encoding.PEM
    key = leaf_key.private_bytes(
        pem, serialization.PrivateFormat.PKCS8, serialization.NoEncryption()
    )
    return tls.Made(root.public_bytes(serialization.Encoding.DER), leaf.public_bytes(pem) + key)


def test_a_second_implementation_of_path_validation_agrees(made: tls.Made) -> None:
    root, leaf = parsed(made)
    at = leaf.not_valid_before_utc + timedelta(days=1)
    store = verification.Store([root])
    builder = verification.PolicyBuilder().store(store).time(at)
    assert builder.build_server_verifier(x509.DNSName(NAME)).verify(leaf, []) == [leaf, root]
    with pytest.raises(verification.VerificationError):
        builder.build_server_verifier(x509.DNSName("example.test")).verify(leaf, [])


def test_it_lasts_820_days_and_began_before_a_tablets_late_clock(now: datetime) -> None:
    for one in parsed(tls.make(NAME, now)):
        assert one.not_valid_after_utc - one.not_valid_before_utc == timedelta(days=820)
        assert one.not_valid_before_utc <= now - timedelta(days=7)


def test_it_says_what_it_is_for(made: tls.Made) -> None:
    root, leaf = parsed(made)
    limits = root.extensions.get_extension_for_class(x509.NameConstraints)
    assert limits.critical
    assert limits.value.permitted_subtrees == [x509.DNSName(NAME)]
    assert {str(one.value) for one in limits.value.excluded_subtrees or ()} == {"0.0.0.0/0", "::/0"}
    basic = root.extensions.get_extension_for_class(x509.BasicConstraints).value
    assert (basic.ca, basic.path_length) == (True, 0)
    names = leaf.extensions.get_extension_for_class(x509.SubjectAlternativeName).value
    assert list(names) == [x509.DNSName(NAME)]
    assert not leaf.extensions.get_extension_for_class(x509.BasicConstraints).value.ca


def test_the_roots_key_is_nowhere(tmp_path: Path, now: datetime) -> None:
    kept = tls.renew(tmp_path, NAME, now)
    root = x509.load_der_x509_certificate(kept.root.read_bytes())
    files = [path.read_bytes() for path in tmp_path.rglob("*") if path.is_file()]
    assert sum(text.count(b"PRIVATE KEY") for text in files) == 2  # begin and end of the leaf's
    leaf_key = serialization.load_pem_private_key(
        b"-----BEGIN PRIVATE" + kept.leaf.read_bytes().split(b"-----BEGIN PRIVATE")[1], None
    )
    public = serialization.PublicFormat.SubjectPublicKeyInfo, serialization.Encoding.DER
    assert leaf_key.public_key().public_bytes(public[1], public[0]) != (
        root.public_key().public_bytes(public[1], public[0])
    )
    if os.name != "nt":
        assert kept.leaf.stat().st_mode & 0o077 == 0


def test_renewing_keeps_the_name_and_changes_the_root(tmp_path: Path, now: datetime) -> None:
    first = tls.renew(tmp_path, NAME, now)
    root = first.root.read_bytes()
    assert tls.kept(tmp_path) == first
    later = tls.renew(tmp_path, NAME, now + timedelta(days=700))
    assert later.ends - first.ends == timedelta(days=700)
    assert later.root.read_bytes() != root
    assert tls.kept(tmp_path / "nowhere") is None


def test_the_warning_begins_sixty_days_ahead(now: datetime) -> None:
    lan = Lan(NAME, 8443, 8322, now + timedelta(days=60))
    assert lan.warn(now)
    assert lan.warn(now + timedelta(days=100))
    assert not lan.warn(now - timedelta(seconds=1))
