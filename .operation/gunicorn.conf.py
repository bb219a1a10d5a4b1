"""How gunicorn serves the site: gunicorn -c .operation/gunicorn.conf.py

WEB_BIND     where to listen (127.0.0.1:8000); the proxy in front of it speaks https
WEB_WORKERS  processes (2): one for each core; measured in DEVELOPERS.md, "Operation"
"""

import os

wsgi_app = "events.project.wsgi:application"
bind = os.environ.get("WEB_BIND", "127.0.0.1:8000")
workers = int(os.environ.get("WEB_WORKERS", "2"))
# A thread waits for the database or a slow phone while another one answers.
worker_class = "gthread"
threads = 4
# Longer than a writer waits for the lock of an SQLite database (20 s), so that the visitor
# gets a page that says so instead of a cut connection.
timeout = 60
graceful_timeout = 30
keepalive = 5
# A worker is replaced now and then, not all at the same moment; that bounds slow leaks.
max_requests = 2000
max_requests_jitter = 400
# Nobody steers a running server from outside: systemd or the container does.
control_socket_disable = True
# The site writes its own line for each request; this one tells starts, stops and crashes.
accesslog = None
errorlog = "-"
