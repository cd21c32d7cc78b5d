"""A certificate of an authority that nobody has heard of."""

from __future__ import annotations

import ssl
from datetime import UTC, datetime, timedelta
from ipaddress import ip_address
from pathlib import Path

from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import NameOID


def certificate(folder: Path) -> tuple[Path, ssl.SSLContext]:
    """One for the loopback address: the file of its authority, and what a server shows it with."""
    authority, key = ec.generate_private_key(ec.SECP256R1()), ec.generate_private_key(ec.SECP256R1())
    issuer = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, "nobody's authority")])
    subject = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, "kitchen")])
    address = x509.SubjectAlternativeName([x509.IPAddress(ip_address("127.0.0.1"))])
    root = _builder(issuer, issuer, authority).add_extension(x509.BasicConstraints(True, None), critical=True)
    leaf = _builder(subject, issuer, key).add_extension(address, critical=False)
    files = [folder / name for name in ("authority.pem", "certificate.pem", "key.pem")]
    pem = serialization.Encoding.PEM
    files[0].write_bytes(root.sign(authority, hashes.SHA256()).public_bytes(pem))
    files[1].write_bytes(leaf.sign(authority, hashes.SHA256()).public_bytes(pem))
    form, secrecy = serialization.PrivateFormat.PKCS8, serialization.NoEncryption()
    files[2].write_bytes(key.private_bytes(pem, form, secrecy))
    context = ssl.create_default_context(ssl.Purpose.CLIENT_AUTH)
    context.load_cert_chain(files[1], files[2])
    return files[0], context


def _builder(subject: x509.Name, issuer: x509.Name, key: ec.EllipticCurvePrivateKey) -> x509.CertificateBuilder:
    now = datetime.now(UTC)
    builder = x509.CertificateBuilder().subject_name(subject).issuer_name(issuer).public_key(key.public_key())
    builder = builder.serial_number(x509.random_serial_number())
    return builder.not_valid_before(now - timedelta(days=1)).not_valid_after(now + timedelta(days=30))
