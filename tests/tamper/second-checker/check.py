#!/usr/bin/env python3
"""A second, tiny checker of an evidence bag, written from the formats and not from the program:
BagIt 1.0 manifests (RFC 8493), canonical JSON lines (RFC 8785 on integers and plain keys), the hash
chain (RFC 6962 leaf hashes), DSSE v1 envelopes under Ed25519 by the system's openssl, photos by
their digests, salted disclosures (RFC 9901), and the closing manifest.

    python3 check.py BAG.zip

prints {"ok": ..., "failed": {"check": ["why", ...]}} and ends with 0 or 1. Only the standard library
and the openssl command are used. It judges no safety and no trust: who a key belongs to, it cannot say.
"""

import base64
import hashlib
import json
import os
import re
import subprocess
import sys
import tempfile
import zipfile

PAYLOAD_TYPE = b"application/vnd.stillwire.entry.v1+json"
SPKI_ED25519 = bytes.fromhex("302a300506032b6570032100")
# RFC 8032: the order of the base point, and the field.
L = 2**252 + 27742317777372353535851937790883648493
P = 2**255 - 19
# The y-coordinates of the eight points of small order (eight times any point on the curve is neutral).
SMALL_ORDER_Y = {
    0,
    1,
    2707385501144840649318225287225658788936804267575313519463743609750303402022,
    55188659117513257062467267217118295137698188065244968500265048394206261417927,
    P - 1,
}


def unbase64url(text):
    if not re.fullmatch(r"[A-Za-z0-9_-]*", text):
        raise ValueError("not base64url")
    raw = base64.urlsafe_b64decode(text + "=" * (-len(text) % 4))
    if base64.urlsafe_b64encode(raw).rstrip(b"=").decode() != text:
        raise ValueError("not the one spelling of these bytes")
    return raw


def base64url(raw):
    return base64.urlsafe_b64encode(raw).rstrip(b"=").decode()


def no_float(text):
    raise ValueError("a number that is no integer: " + text)


def no_twins(pairs):
    keys = [key for key, _ in pairs]
    if len(set(keys)) != len(keys):
        raise ValueError("a key twice")
    return dict(pairs)


def parsed(line):
    return json.loads(
        line.decode("utf-8"),
        parse_float=no_float,
        parse_constant=no_float,
        object_pairs_hook=no_twins,
    )


def canonical(value):
    """RFC 8785 where there are only integers; keys are ordered by UTF-16 code units."""
    if isinstance(value, dict):
        ordered = sorted(value.items(), key=lambda pair: pair[0].encode("utf-16-be"))
        inside = ",".join(canonical(key) + ":" + canonical(each) for key, each in ordered)
        return "{" + inside + "}"
    if isinstance(value, list):
        return "[" + ",".join(map(canonical, value)) + "]"
    return json.dumps(value, ensure_ascii=False, separators=(",", ":"))


class Signatures:
    """Ed25519 by the openssl command, with the checks that it leaves to us."""

    def __init__(self, folder):
        self.folder = folder

    def file(self, name, content):
        path = os.path.join(self.folder, name)
        with open(path, "wb") as out:
            out.write(content)
        return path

    def hold(self, public, message, signature):
        if len(signature) != 64 or int.from_bytes(signature[32:], "little") >= L:
            return False
        if weak(public) or weak(signature[:32]):
            return False
        done = subprocess.run(
            ["openssl", "pkeyutl", "-verify", "-pubin", "-keyform", "DER",
             "-inkey", self.file("key", SPKI_ED25519 + public), "-rawin",
             "-in", self.file("message", message),
             "-sigfile", self.file("signature", signature)],
            capture_output=True, check=False,
        )
        return done.returncode == 0


def weak(point):
    """A point that is spelled in another way than the one canonical, or that is of small order."""
    y = int.from_bytes(point, "little") & ((1 << 255) - 1)
    return len(point) != 32 or y >= P or y in SMALL_ORDER_Y


def named(value):
    """The digests that an entry lists as photos, wherever in it."""
    if isinstance(value, list):
        return [each for inner in value for each in named(inner)]
    if not isinstance(value, dict):
        return []
    own = [each for each in value.get("photos", []) if isinstance(each, str)]
    return own + [each for inner in value.values() for each in named(inner)]


class Bag:
    def __init__(self, path):
        self.failed = {}
        with zipfile.ZipFile(path) as archive:
            names = archive.namelist()
            if len(set(names)) != len(names):
                raise ValueError("a name twice")
            roots = {name.split("/")[0] for name in names}
            if len(roots) != 1:
                raise ValueError("more than one folder")
            self.root = roots.pop() + "/"
            self.files = {
                name[len(self.root):]: archive.read(name) for name in names if not name.endswith("/")
            }

    def fail(self, check, why):
        self.failed.setdefault(check, []).append(why)

    def manifests(self):
        for algorithm in ("sha256", "sha512"):
            for kind in ("manifest", "tagmanifest"):
                self.manifest(kind + "-" + algorithm + ".txt", algorithm, kind == "manifest")

    def manifest(self, name, algorithm, of_payload):
        if name not in self.files:
            self.fail("manifest", name + " is missing")
            return
        listed = set()
        for line in self.files[name].decode("utf-8").splitlines():
            digest, _, path = line.partition("  ")
            listed.add(path)
            if path not in self.files:
                self.fail("manifest", path + " is listed and missing")
            elif hashlib.new(algorithm, self.files[path]).hexdigest() != digest.lower():
                self.fail("manifest", path + " is not as listed")
        if of_payload:
            for path in self.files:
                if path.startswith("data/") and path not in listed:
                    self.fail("manifest", path + " is listed nowhere")

    def keys(self):
        keys = {}
        for each in parsed(self.files["data/keys.json"])["keys"]:
            public = unbase64url(each["public"])
            member = '{"crv":"Ed25519","kty":"OKP","x":"%s"}' % each["public"]
            if base64url(hashlib.sha256(member.encode()).digest()) != each["key"]:
                self.fail("keys", "the name of a key of " + each["person"] + " is not its own")
            if weak(public):
                self.fail("keys", "a key of " + each["person"] + " fits every message")
            keys[each["key"]] = (public, each["person"])
        return keys

    def record(self, keys):
        lines = self.files["data/record.jsonl"]
        if not lines.endswith(b"\n"):
            self.fail("record.form", "the last line does not end")
        entries, before, job = [], "0" * 64, None
        with tempfile.TemporaryDirectory() as folder:
            signatures = Signatures(folder)
            for place, line in enumerate(lines.split(b"\n")[:-1]):
                try:
                    whole = parsed(line)
                    entry, sig = whole["entry"], unbase64url(whole["sig"])
                    if sorted(whole) != ["entry", "sig"] or canonical(whole).encode() != line:
                        raise ValueError("not canonical")
                except (ValueError, KeyError, TypeError) as error:
                    self.fail("record.form", "line %d: %s" % (place, error))
                    return entries
                job = job or entry["job"]
                if entry["seq"] != place or entry["job"] != job:
                    self.fail("record.order", "line %d says %s" % (place, entry["seq"]))
                if entry["prev"] != before:
                    self.fail("record.chain", "line %d stands upon another line" % place)
                before = hashlib.sha256(b"\0" + line).hexdigest()
                body = canonical(entry).encode()
                message = b"DSSEv1 %d %s %d %s" % (len(PAYLOAD_TYPE), PAYLOAD_TYPE, len(body), body)
                public, person = keys.get(entry["key"], (None, None))
                if public is None or not signatures.hold(public, message, sig):
                    self.fail("record.signatures", "line %d is not signed by its key" % place)
                elif person != entry["by"]:
                    self.fail("keys", "line %d: the key of somebody else" % place)
                entries.append((entry, before))
        return entries

    def end(self, entries):
        for place, (entry, _) in enumerate(entries):
            if entry["type"] != "job.closed":
                continue
            told = entry["body"]["manifest"]
            if told["entries"] != place or told["head"] != entry["prev"]:
                self.fail("record.end", "the closing entry counts another record")

    def seal(self, keys):
        """The tag manifest again as a signed note (C2SP): text, an empty line, and one signature."""
        note = self.files.get("tagmanifest-sha256.txt.note", b"")
        text, _, last = note.rpartition(b"\n\n")
        told = re.fullmatch("\u2014 (\\S+)/(\\S+) (\\S+)\n", last.decode("utf-8"))
        if told is None or text + b"\n" != self.files.get("tagmanifest-sha256.txt"):
            self.fail("manifest", "the seal is of something else")
            return
        public, _ = keys.get(told.group(2), (None, None))
        raw = base64.b64decode(told.group(3))
        name = (told.group(1) + "/" + told.group(2)).encode()
        with tempfile.TemporaryDirectory() as folder:
            if (
                public is None
                or raw[:4] != hashlib.sha256(name + b"\n\x01" + public).digest()[:4]
                or not Signatures(folder).hold(public, text + b"\n", raw[4:])
            ):
                self.fail("manifest", "the seal is not of a key in this bag")

    def photos(self, entries):
        blurred = self.files.get("bag-info.txt", b"").decode("utf-8")
        for entry, _ in entries:
            for digest in named(entry["body"]):
                if digest not in blurred and "data/photos/%s.jpg" % digest not in self.files:
                    self.fail("photos", digest + " is named and missing")
        wanted = {digest for entry, _ in entries for digest in named(entry["body"])}
        for path, content in self.files.items():
            if not path.startswith("data/photos/"):
                continue
            if path.split("/")[2][:64] not in wanted:
                self.fail("photos", path + " is named by no entry")
            digest = hashlib.sha256(content).hexdigest()
            if path != "data/photos/" + digest + ".jpg" and path.split("/")[2][:64] not in blurred:
                self.fail("photos", path + " has other bytes")

    def disclosures(self, entries):
        for line in self.files.get("data/disclosures.jsonl", b"").splitlines():
            told = parsed(line)
            digest = base64url(hashlib.sha256(told["disclosure"].encode()).digest())
            place = told["seq"]
            known = entries[place][0].get("_sd", []) if place < len(entries) else []
            if digest not in known:
                self.fail("disclosures", "a private value that entry %d does not name" % place)

    def checklist(self, entries):
        if not entries:
            return
        pinned = entries[0][0]["body"].get("checklist", {}).get("sha256")
        if hashlib.sha256(self.files.get("data/checklist.json", b"")).hexdigest() != pinned:
            self.fail("checklist", "it is not the one that the first entry pins")


def main(path):
    try:
        bag = Bag(path)
        bag.manifests()
        keys = bag.keys()
        bag.seal(keys)
        entries = bag.record(keys)
        bag.end(entries)
        bag.photos(entries)
        bag.disclosures(entries)
        bag.checklist(entries)
        failed = bag.failed
    except (ValueError, KeyError, TypeError, zipfile.BadZipFile) as error:
        failed = {"archive": ["it cannot be read: %s" % error]}
    print(json.dumps({"ok": not failed, "failed": failed}, ensure_ascii=False))
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1]))
