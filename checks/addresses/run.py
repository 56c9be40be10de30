"""Every address that answers data, asked with made-up input: no 5xx, and answers of the form that docs/openapi.json tells.

Starts the program on an invented practice, turns signing in on, makes a key and hands schemathesis both, with the ids of
things that are there, so that more than 'not found' is asked. Passwords and people are invented.

    .venv/bin/python checks/addresses/run.py PROGRAM
"""

import http.client
import json
import random
import re
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from urllib.parse import urlencode

ROOT = Path(__file__).resolve().parents[2]
PASSPHRASE = "heron under grey slate"
# Of the whole run of schemathesis, in seconds.
LONGEST = 75
# The made-up input is the same in every run.
SEED = "4711"
# Schemathesis writes no bodies of this kind: they are made up here.
BY_HAND = ("post_dicomweb_studies", "post_dicomweb_studies_study")
BODIES = 80


class Practice:
    """The program on a folder of its own, and a browser without a screen."""

    def __init__(self, program: str, folder: Path):
        made = subprocess.run(
            [program, "demo", "--no-serve", "--out", str(folder / "demo")], capture_output=True, text=True
        )
        if made.returncode != 0:
            sys.exit(f"the invented practice could not be made: {made.stderr}")
        self.log = open(folder / "log", "w+")
        self.child = subprocess.Popen(
            [program, "serve", "--data", str(folder / "demo" / "practice"), "--port", "0"],
            stdout=subprocess.PIPE,
            stderr=self.log,
            text=True,
        )
        said = self.child.stdout.readline()
        self.port = int(re.search(r"127\.0\.0\.1:(\d+)", said).group(1))
        self.cookie = ""

    def ask(self, method: str, path: str, fields: dict | None = None) -> tuple[int, dict, str]:
        line = http.client.HTTPConnection("127.0.0.1", self.port, timeout=60)
        headers = {"Host": f"localhost:{self.port}", "Cookie": self.cookie}
        body = None
        if fields is not None:
            headers["Content-Type"] = "application/x-www-form-urlencoded"
            body = urlencode(fields)
        line.request(method, path, body, headers)
        answer = line.getresponse()
        text = answer.read().decode("utf-8", "replace")
        return answer.status, dict(answer.getheaders()), text

    def sign_in(self) -> None:
        """Somebody works here; the first account is theirs."""
        _, _, page = self.ask("GET", "/who")
        worker = re.search(r'name="worker" value="([^"]+)"', page)
        if worker:
            self.cookie = f"tiebeam_worker={worker.group(1)}"
        fields = {"login": "ada", "passphrase": PASSPHRASE, "again": PASSPHRASE}
        status, headers, text = self.ask("POST", "/people/first", fields)
        if status != 303:
            sys.exit(f"signing in could not be turned on ({status}): {text[:300]}")
        self.cookie = headers["set-cookie"].split(";")[0]

    def key(self) -> str:
        fields = {"label": "invented", "read-records": "yes", "send-films": "yes", "read-films": "yes"}
        _, _, page = self.ask("POST", "/people/keys", fields)
        return re.search(r'id="token">([0-9a-f]{64})<', page).group(1)

    def send_films(self, key: str, film: bytes) -> list[str]:
        """Bodies of films with bytes changed, cut or added. Gives what was answered with a fault of the program."""
        chance = random.Random(int(SEED))
        faults = []
        for number in range(BODIES):
            body = bytearray(
                b"--an-edge\r\nContent-Type: application/dicom\r\n\r\n" + film + b"\r\n--an-edge--\r\n"
            )
            for _ in range(number % 7):
                # Most of it is picture: the head is what can be misread.
                at = chance.randrange(4096)
                change = chance.randrange(3)
                if change == 0:
                    body[at] = chance.randrange(256)
                elif change == 1:
                    del body[at : at + chance.randrange(1, 64)]
                else:
                    body[at:at] = chance.randbytes(chance.randrange(1, 64))
            kind = 'multipart/related; type="application/dicom"; boundary=an-edge'
            path = chance.choice(["/dicomweb/studies", "/dicomweb/studies/2.25.1"])
            status, said = self.send(path, bytes(body), {"Authorization": f"Bearer {key}", "Content-Type": kind})
            if status >= 500:
                faults.append(f"{path}: {status} {said[:200]!r}")
        return faults

    def send(self, path: str, body: bytes, headers: dict[str, str]) -> tuple[int, bytes]:
        """Waits where too much was sent: the program then answers without reading the body."""
        for _ in range(60):
            line = http.client.HTTPConnection("127.0.0.1", self.port, timeout=60)
            try:
                line.request("POST", path, body, headers)
                answer = line.getresponse()
                said = answer.read()
                if answer.status != 429:
                    return answer.status, said
            except (BrokenPipeError, ConnectionResetError):
                pass
            finally:
                line.close()
            time.sleep(1)
        sys.exit("the program took no film within a minute")

    def things(self) -> dict[str, str]:
        """The id of one thing of each kind that the day's list leads to."""
        found: dict[str, str] = {}
        seen, waiting = set(), ["/"]
        while waiting and len(seen) < 60:
            path = waiting.pop(0)
            if path in seen:
                continue
            seen.add(path)
            _, _, page = self.ask("GET", path)
            for kind, number in re.findall(r'href="/(patient|visit|film|capture|order)/([0-9a-f-]{36})', page):
                found.setdefault(kind, number)
                waiting.append(f"/{kind}/{number}")
        return found

    def stop(self):
        self.child.terminate()
        self.child.wait(timeout=20)
        self.log.close()


def settings(things: dict[str, str]) -> str:
    lines = []
    for kind in ("visit", "film", "capture", "order"):
        if kind in things:
            lines += [
                "[[operations]]",
                f'include-path-regex = "^/{kind}/"',
                f'parameters = {{ "path.id" = "{things[kind]}" }}',
            ]
    return "\n".join(lines) + "\n"


def main() -> None:
    program = sys.argv[1]
    began = time.monotonic()
    with tempfile.TemporaryDirectory(prefix="tiebeam-addresses-") as name:
        folder = Path(name)
        practice = Practice(program, folder)
        try:
            practice.sign_in()
            things, key = practice.things(), practice.key()
            status, _, served = practice.ask("GET", "/openapi.json")
            kept = json.loads((ROOT / "docs/openapi.json").read_text())
            if status != 200 or json.loads(served) != kept:
                sys.exit("docs/openapi.json is not what the program serves; write it with `cargo xtask openapi`")
            (folder / "schemathesis.toml").write_text(settings(things))
            done = subprocess.run(
                [
                    str(Path(sys.executable).with_name("schemathesis")),
                    "run",
                    str(ROOT / "docs/openapi.json"),
                    "--url", f"http://localhost:{practice.port}",
                    "--header", f"Cookie:{practice.cookie}",
                    "--header", f"Authorization:Bearer {key}",
                    "--header", "Accept:application/json, application/fhir+json, */*;q=0.5",
                    "--checks", "not_a_server_error,response_schema_conformance",
                    "--phases", "examples,coverage,fuzzing",
                    "--max-time", str(LONGEST),
                    "--rate-limit", "auto",
                    "--request-timeout", "30",
                    *(part for name in BY_HAND for part in ("--exclude-operation-id", name)),
                    "--seed", SEED,
                    "--warnings", "off",
                    "--continue-on-failure",
                ],
                cwd=folder,
            )
            film = min((p.read_bytes() for p in (folder / "demo" / "films").glob("*.dcm")), key=len)
            faults = practice.send_films(key, film)
            alive = practice.child.poll() is None
            status, _, page = practice.ask("GET", "/trail?check=yes")
            whole = status == 200 and "Everything is whole" in page
        finally:
            practice.stop()
    seconds = round(time.monotonic() - began)
    print(f"{BODIES} bodies of films; kinds of things asked for: {', '.join(sorted(things))}; {seconds} s in all")
    if faults:
        sys.exit("films that were made up were answered with a fault: " + "; ".join(faults[:5]))
    if not alive:
        sys.exit("the program ended while it was asked")
    if not whole:
        sys.exit("the practice is not whole after it was asked")
    sys.exit(done.returncode)


if __name__ == "__main__":
    main()
