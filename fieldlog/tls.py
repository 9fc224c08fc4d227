"""The house's own certificate: a one-shot root that can vouch for one name, and one leaf.

The root's key is thrown away as soon as it has signed the leaf, and its name constraint (RFC
5280, 4.2.1.10) keeps it to the house's name, so that a tablet that trusts it trusts nothing
else. The leaf lasts 820 days: a tablet takes 825 at most of a root that was put there by hand.
"""

from __future__ import annotations

import os
from dataclasses import dataclass
from datetime import datetime, timedelta
from ipaddress import ip_network
from pathlib import Path

from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID

from fieldlog.store.db import HouseFolder
from fieldlog.store.durable import write_durably

DAYS = 820
BACK_DAYS = 7
"""How far before now it begins: a tablet's clock may be days behind."""
EVERYWHERE = ("0.0.0.0/0", "::/0")


@dataclass(frozen=True, slots=True)
class Made:
    """A root's certificate (DER), and the leaf's certificate and key (PEM)."""

    root: bytes
    leaf: bytes


@dataclass(frozen=True, slots=True)
class Kept:
    """Where a house's certificate lies, and when it ends (aware, UTC)."""

    root: Path
    leaf: Path
    ends: datetime


def make(name: str, now: datetime) -> Made:
    """A root and a leaf for the host name `name`, from a week before `now`."""
    begins = now.replace(microsecond=0) - timedelta(days=BACK_DAYS)
    span = (begins, begins + timedelta(days=DAYS))
    root_key, leaf_key = (ec.generate_private_key(ec.SECP256R1()) for _ in range(2))
    issuer = _named(f"{name} only")
    root = _root(issuer, name, span, root_key)
    leaf = _leaf(issuer, name, span, leaf_key, root_key)
    key = leaf_key.private_bytes(
        serialization.Encoding.PEM,
        serialization.PrivateFormat.PKCS8,
        serialization.NoEncryption(),
    )
    return Made(
        root.public_bytes(serialization.Encoding.DER),
        leaf.public_bytes(serialization.Encoding.PEM) + key,
    )


def kept(folder: os.PathLike[str] | str) -> Kept | None:
    """The house's certificate, or None where none was made yet."""
    at = HouseFolder(folder).path / "tls"
    root, leaf = at / "root.crt", at / "leaf.pem"
    if not (root.is_file() and leaf.is_file()):
        return None
    found = x509.load_pem_x509_certificate(leaf.read_bytes())
    return Kept(root, leaf, found.not_valid_after_utc)


def renew(folder: os.PathLike[str] | str, name: str, now: datetime) -> Kept:
    """Make a new root and leaf and keep them. Every tablet has to trust the new root."""
    made, at = make(name, now), HouseFolder(folder).path / "tls"
    # The leaf last: a leaf without its root would be served and trusted by nobody.
    write_durably(at / "root.crt", made.root)
    write_durably(at / "leaf.pem", made.leaf)
    done = kept(folder)
    assert done is not None
    return done


def _root(
    issuer: x509.Name,
    name: str,
    span: tuple[datetime, datetime],
    key: ec.EllipticCurvePrivateKey,
) -> x509.Certificate:
    only = x509.NameConstraints(
        permitted_subtrees=[x509.DNSName(name)],
        # A constraint on names says nothing about addresses: those are shut out by themselves.
        excluded_subtrees=[x509.IPAddress(ip_network(one)) for one in EVERYWHERE],
    )
    return (
        _begun(issuer, issuer, span, key.public_key(), key.public_key())
        .add_extension(x509.BasicConstraints(ca=True, path_length=0), critical=True)
        .add_extension(_usage(signs_certificates=True), critical=True)
        .add_extension(only, critical=True)
        .sign(key, hashes.SHA256())
    )


def _leaf(
    issuer: x509.Name,
    name: str,
    span: tuple[datetime, datetime],
    key: ec.EllipticCurvePrivateKey,
    root_key: ec.EllipticCurvePrivateKey,
) -> x509.Certificate:
    return (
        _begun(_named(name), issuer, span, key.public_key(), root_key.public_key())
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(_usage(signs_certificates=False), critical=True)
        .add_extension(x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), critical=False)
        .add_extension(x509.SubjectAlternativeName([x509.DNSName(name)]), critical=False)
        .sign(root_key, hashes.SHA256())
    )


def _begun(
    subject: x509.Name,
    issuer: x509.Name,
    span: tuple[datetime, datetime],
    key: ec.EllipticCurvePublicKey,
    signed_by: ec.EllipticCurvePublicKey,
) -> x509.CertificateBuilder:
    """What root and leaf have in common."""
    return (
        x509.CertificateBuilder()
        .subject_name(subject)
        .issuer_name(issuer)
        .public_key(key)
        .serial_number(x509.random_serial_number())
        .not_valid_before(span[0])
        .not_valid_after(span[1])
        .add_extension(x509.SubjectKeyIdentifier.from_public_key(key), critical=False)
        .add_extension(
            x509.AuthorityKeyIdentifier.from_issuer_public_key(signed_by), critical=False
        )
    )


def _usage(*, signs_certificates: bool) -> x509.KeyUsage:
    return x509.KeyUsage(
        digital_signature=not signs_certificates,
        key_cert_sign=signs_certificates,
        crl_sign=signs_certificates,
        content_commitment=False,
        key_encipherment=False,
        data_encipherment=False,
        key_agreement=False,
        encipher_only=False,
        decipher_only=False,
    )


def _named(common: str) -> x509.Name:
    return x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, common)])
