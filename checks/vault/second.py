"""Opens what the vault sealed, and seals what it must open, with other libraries and its own code.

    cargo run -p vault --example vault_cases > cases.json
    python checks/vault/second.py cases.json theirs.json
    cargo run -p vault --example vault_cases open theirs.json

Argon2id from argon2-cffi, XChaCha20-Poly1305 from libsodium by PyNaCl, HKDF and ChaCha20-Poly1305 from
OpenSSL by cryptography, SHA-256 and HMAC from Python itself. First the published vectors are held against
these libraries, so that a slip in copying them would show.
"""

import hashlib
import hmac
import json
import struct
import sys
import tomllib
import unicodedata
from pathlib import Path

import argon2.low_level as argon2
from cryptography.hazmat.primitives.ciphers.aead import ChaCha20Poly1305
from cryptography.hazmat.primitives.hashes import SHA256
from cryptography.hazmat.primitives.kdf.hkdf import HKDF
from nacl.bindings import (
    crypto_aead_xchacha20poly1305_ietf_decrypt as xopen,
    crypto_aead_xchacha20poly1305_ietf_encrypt as xseal,
)
from nacl.exceptions import CryptoError

CHUNK = 65536
SIGNS = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"
VECTORS = Path(__file__).resolve().parents[2] / "crates/vault/tests/vectors.json"
H = bytes.fromhex


def hkdf(secret, salt, info, length=32):
    return HKDF(algorithm=SHA256(), length=length, salt=salt or None, info=info).derive(secret)


def mac(key, data):
    return hmac.new(key, data, hashlib.sha256).digest()


def derived(key, label):
    return hkdf(key, b"", b"tiebeam vault 1 " + label.encode())


def argon2id(password, salt, memory_kib, passes, lanes, secret=b"", beside=b""):
    ffi, lib = argon2.ffi, argon2.lib
    out = ffi.new("uint8_t[]", 32)
    parts = [ffi.new("uint8_t[]", part) for part in (password, salt, secret, beside)]
    context = ffi.new(
        "argon2_context *",
        dict(
            version=argon2.ARGON2_VERSION,
            out=out,
            outlen=32,
            pwd=parts[0],
            pwdlen=len(password),
            salt=parts[1],
            saltlen=len(salt),
            secret=parts[2] if secret else ffi.NULL,
            secretlen=len(secret),
            ad=parts[3] if beside else ffi.NULL,
            adlen=len(beside),
            t_cost=passes,
            m_cost=memory_kib,
            lanes=lanes,
            threads=1,
            allocate_cbk=ffi.NULL,
            free_cbk=ffi.NULL,
            flags=lib.ARGON2_DEFAULT_FLAGS,
        ),
    )
    assert argon2.core(context, argon2.Type.ID.value) == 0
    return bytes(ffi.buffer(out, 32))


def vectors():
    all = json.loads(VECTORS.read_text())
    v = all["chacha20_poly1305"]
    assert ChaCha20Poly1305(H(v["key"])).encrypt(H(v["nonce"]), H(v["plain"]), H(v["beside"])).hex() == v["sealed"]
    v = all["xchacha20_poly1305"]
    assert xseal(H(v["plain"]), H(v["beside"]), H(v["nonce"]), H(v["key"])).hex() == v["sealed"]
    v = all["argon2id"]
    parts = [H(v["password"]), H(v["salt"]), v["memory_kib"], v["passes"], v["lanes"], H(v["secret"]), H(v["beside"])]
    assert argon2id(*parts).hex() == v["tag"]
    v = all["hmac_sha256"]
    assert mac(H(v["key"]), H(v["data"])).hex() == v["mac"]
    v = all["hkdf_sha256"]
    assert hkdf(H(v["secret"]), H(v["salt"]), H(v["info"]), 42).hex() == v["out"]
    return len(all)


def twice(x):
    x <<= 1
    return x ^ 0b100101 if x & 32 else x


def check_sign(group, places):
    total = 0
    for place in reversed(places):
        total = twice(total ^ place)
    return total ^ (group + 1)


def code_secret(text):
    values = [SIGNS.index(sign) for sign in text if sign != " "]
    assert len(values) == 40
    bits = ""
    for group in range(8):
        *places, check = values[group * 5 : group * 5 + 5]
        assert check_sign(group, places) == check, f"group {group + 1}"
        bits += "".join(f"{place:05b}" for place in places)
    return int(bits, 2).to_bytes(20)


def code_text(secret):
    bits = f"{int.from_bytes(secret):0160b}"
    groups = []
    for group in range(8):
        places = [int(bits[at : at + 5], 2) for at in range(group * 20, group * 20 + 20, 5)]
        groups.append("".join(SIGNS[place] for place in places + [check_sign(group, places)]))
    return " ".join(groups)


def key_file_secret(text):
    title, ring, key, check = text.splitlines()
    assert title == "Tiebeam key file 1"
    assert check == "check " + hashlib.sha256(f"{title}\n{ring}\n{key}\n".encode()).hexdigest()[:16]
    return H(key.removeprefix("key "))


def key_file_text(ring, secret):
    body = f"Tiebeam key file 1\nkeyring {ring}\nkey {secret.hex()}\n"
    return body + "check " + hashlib.sha256(body.encode()).hexdigest()[:16] + "\n"


def wrapping_key(kind, secret, salt, cost=None):
    if kind == "passphrase":
        secret = argon2id(unicodedata.normalize("NFC", secret).encode(), salt, *cost)
    return hkdf(secret, salt, b"tiebeam vault 1 way in " + kind.encode())


def place(ring, way, number):
    return b"tiebeam vault 1 wrapped key " + H(ring) + H(way) + struct.pack(">I", number)


def keys_of(text, kind, secret):
    """The data keys of a keyring, by one way in; both checks of the file are made."""
    ring = tomllib.loads(text)
    body, _, _ = text.rpartition('text = "')
    assert hashlib.sha256(body.encode()).hexdigest() == ring["check"]["text"]
    (way,) = [way for way in ring["way"] if way["kind"] == kind]
    cost = [way[k] for k in ("memory_kib", "passes", "lanes")] if kind == "passphrase" else None
    key = wrapping_key(kind, secret, H(way["salt"]), cost)
    keys = {
        w["key"]: xopen(H(w["sealed"]), place(ring["id"], way["id"], w["key"]), H(w["nonce"]), key)
        for w in way["wrapped"]
    }
    assert sorted(keys) == ring["keys"]
    proven = mac(derived(keys[ring["current"]], "keyring"), text.partition("\n[check]")[0].encode())
    assert proven.hex() == ring["check"]["keys"]
    return H(ring["id"]), keys


def opened(sealed, kind, ring, keys, purpose, binding, start=48):
    header, body = sealed[:48], sealed[start:]
    assert header[:9] == b"tbvault\x01" + bytes([kind]) and header[9:25] == ring
    key = derived(keys[struct.unpack(">I", header[25:29])[0]], purpose)
    chunks = [body[at : at + CHUNK + 16] for at in range(0, len(body), CHUNK + 16)]
    out = b""
    for n, chunk in enumerate(chunks):
        nonce = header[29:48] + struct.pack(">I", n) + bytes([n == len(chunks) - 1])
        out += xopen(chunk, header + binding, nonce, key)
    return out


def sealed_as(plain, kind, ring, number, key, prefix, binding, between=b""):
    header = b"tbvault\x01" + bytes([kind]) + ring + struct.pack(">I", number) + prefix
    chunks = [plain[at : at + CHUNK] for at in range(0, len(plain), CHUNK)] or [b""]
    out = header + between
    for n, chunk in enumerate(chunks):
        nonce = prefix + struct.pack(">I", n) + bytes([n == len(chunks) - 1])
        out += xseal(chunk, header + binding, nonce, key)
    return out


def refused(what, *arguments):
    try:
        opened(*arguments)
    except CryptoError:
        return
    sys.exit(f"{what} opened")


def read(cases):
    """Everything the vault wrote, opened here."""
    ways = {
        "passphrase": cases["passphrase"],
        "key file": key_file_secret(cases["key_file"]),
        "recovery code": code_secret(cases["recovery_code"]),
    }
    found = [keys_of(cases["keyring"], kind, secret) for kind, secret in ways.items()]
    assert all(one == found[0] for one in found)
    ring, keys = found[0]
    current = keys[cases["current"]]
    assert derived(current, "database").hex() == cases["database_key"]
    assert derived(current, "other cookie").hex() == cases["cookie_key"]
    assert derived(keys[0], "other pseudonyms").hex() == cases["lasting_key"]
    for file in cases["files"]:
        content, sealed = H(file["content"]), H(file["sealed"])
        plain = opened(sealed, 1, ring, keys, "file", content)
        assert hashlib.sha256(plain).digest() == content and len(plain) == file["length"]
        assert mac(derived(keys[0], "name"), content).hex() == file["name"]
        refused("a file under another name", sealed, 1, ring, keys, "file", bytes(32))
    backup = H(cases["backup"])
    (length,) = struct.unpack(">I", backup[48:52])
    text = backup[52 : 52 + length]
    assert text.decode() == cases["keyring"]
    plain = opened(backup, 2, ring, keys, "stream", hashlib.sha256(text).digest(), 52 + length)
    assert hashlib.sha256(plain).hexdigest() == cases["backup_content"]
    refused("a backup cut at a chunk", backup[: 52 + length + CHUNK + 16], 2, ring, keys, "stream", hashlib.sha256(text).digest(), 52 + length)
    return len(ways), len(cases["files"]) + 1


def written():
    """A keyring, files and a backup made here, for the vault to open."""
    stretch = hashlib.shake_256(b"invented bytes").digest(400_000)
    ring, ways, keys = stretch[:16], [stretch[16 + 8 * n : 24 + 8 * n] for n in range(3)], {n: stretch[64 + 32 * n : 96 + 32 * n] for n in range(3)}
    secrets = {"passphrase": "Mühle am großen Bach", "key file": stretch[200:232], "recovery code": stretch[240:260]}
    cost = [9000, 2, 2]
    text = "# Tiebeam keyring. Keep a copy apart from the data: without it and one of the ways in below\n"
    text += "# nobody, also not the makers, can open what was sealed.\n"
    text += f'format = 1\nid = "{ring.hex()}"\nkeys = [0, 1, 2]\ncurrent = 2\n'
    for (kind, secret), way in zip(secrets.items(), ways):
        salt = hashlib.sha256(way).digest()[:16]
        key = wrapping_key(kind, secret, salt, cost)
        text += f'\n[[way]]\nid = "{way.hex()}"\nkind = "{kind}"\nlabel = "made elsewhere"\nsalt = "{salt.hex()}"\n'
        if kind == "passphrase":
            text += "memory_kib = {}\npasses = {}\nlanes = {}\n".format(*cost)
        text += "wrapped = [\n"
        for number, data in keys.items():
            nonce = hashlib.sha256(way + bytes([number])).digest()[:24]
            wrapped = xseal(data, place(ring.hex(), way.hex(), number), nonce, key)
            text += f'  {{ key = {number}, nonce = "{nonce.hex()}", sealed = "{wrapped.hex()}" }},\n'
        text += "]\n"
    text += f'\n[check]\nkeys = "{mac(derived(keys[2], "keyring"), text.encode()).hex()}"\n'
    text += f'text = "{hashlib.sha256(text.encode()).hexdigest()}"\n'
    files = []
    for number, length in [(1, 70_000), (2, 0), (2, 65_536), (2, 300_000)]:
        plain = stretch[1000 : 1000 + length]
        content = hashlib.sha256(plain).digest()
        prefix = mac(derived(keys[number], "file nonce"), content)[:19]
        sealed = sealed_as(plain, 1, ring, number, derived(keys[number], "file"), prefix, content)
        files.append({"content": content.hex(), "sealed": sealed.hex()})
    carried = text.encode()
    backup = sealed_as(
        stretch, 2, ring, 2, derived(keys[2], "stream"), stretch[300:319], hashlib.sha256(carried).digest(),
        struct.pack(">I", len(carried)) + carried,
    )
    return {
        "keyring": text,
        "passphrase": secrets["passphrase"],
        "key_file": key_file_text(ring.hex(), secrets["key file"]),
        "recovery_code": code_text(secrets["recovery code"]),
        "files": files,
        "backup": backup.hex(),
    }


def main():
    count = vectors()
    print(f"published vectors that hold in the other libraries: {count}")
    ways, seals = read(json.loads(Path(sys.argv[1]).read_text()))
    print(f"ways in opened here: {ways}")
    print(f"sealed files and backups opened here: {seals}")
    theirs = written()
    Path(sys.argv[2]).write_text(json.dumps(theirs))
    print(f"to be opened by the vault: {3 * (len(theirs['files']) + 1)}")


if __name__ == "__main__":
    main()
