"""Verify a session file with Python's own library alone, as anybody could. Run: plain_reader.py FILE."""

import hashlib
import json
import re
import sys
import tomllib
from pathlib import Path


def verified(data: bytes) -> dict:
    links, previous, start = [], b"", 0
    for line in re.finditer(rb'^link = "([0-9a-f]{64})"\n', data, re.MULTILINE):
        if hashlib.sha256(previous + data[start : line.start()]).hexdigest().encode() != line[1]:
            sys.exit(f"link {len(links)} does not hold")
        previous, start = line[1], line.end()
        links.append(line[1].decode())
    if start != len(data):
        sys.exit("something stands after the last link")
    document = tomllib.loads(data.decode())
    held = [document["chain"]["link"], *(event["link"] for event in document.get("event", []))]
    equipment = "\n".join(document["equipment"]["lines"]).encode()
    if held != links or hashlib.sha256(equipment).hexdigest() != document["equipment"]["sha256"]:
        sys.exit("the links or the equipment file are not what the chain covers")
    return document


if __name__ == "__main__":
    print(json.dumps(verified(Path(sys.argv[1]).read_bytes())))
