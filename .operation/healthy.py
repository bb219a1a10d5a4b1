"""Ends with 0 if the site on this machine answers that it is well, else with 1."""

import os
import sys
from http.client import HTTPConnection

port = int(os.environ.get("WEB_BIND", "127.0.0.1:8000").rpartition(":")[2])
host = os.environ.get("ALLOWED_HOSTS", "localhost").split(",")[0].strip().lstrip(".")
try:
    connection = HTTPConnection("127.0.0.1", port, timeout=4)
    connection.request("GET", "/health/", headers={"Host": host or "localhost"})
    answer = connection.getresponse()
    said = answer.read(400).decode()
except OSError as error:
    sys.exit(f"no answer: {error}")
print(said)
sys.exit(answer.status != 200)
