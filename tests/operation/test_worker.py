"""The worker on a site whose static files were collected and named after their contents."""

import json
import re

LOOK = """
from django.test import Client
client = Client()
answer = client.get("/worker.js", secure=True, headers={"host": "runs.club.example"})
print("STATUS", answer.status_code)
print(answer.text)
"""


def test_it_keeps_the_files_by_the_names_that_pages_ask_for(manage):
    for command in (["build_fonts"], ["collectstatic", "--noinput", "--verbosity=0"]):
        done = manage(*command)
        assert done.returncode == 0, done.stderr

    said = manage("shell", "--verbosity=0", "-c", LOOK)

    assert "STATUS 200" in said.stdout, said.stderr
    start = json.loads(re.search(r"const START = (\{.*?\n\});", said.stdout, re.DOTALL)[1])
    styles = [part for part in start["parts"] if part.startswith("/static/buoyline/app.")]
    assert re.fullmatch(r"/static/buoyline/app\.[0-9a-f]{12}\.css", styles[0])
    assert start["static"] == "/static/"


def test_files_that_were_not_collected_stop_nothing(manage):
    said = manage("shell", "--verbosity=0", "-c", LOOK)

    assert "STATUS 200" in said.stdout, said.stderr
