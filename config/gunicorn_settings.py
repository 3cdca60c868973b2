"""Gunicorn's settings, for `manage.py serve` and the start lines in `config/deploy`."""

from config import env

# Pages wait for the database, not for the processor; two workers also keep answering while one is started again.
workers = env.number("COLDSET_WEB_WORKERS", 2, least=1)
threads = 4
# A worker that gives no sign of life for so long is started again. It is no limit of one page: a page waits for the
# database alone, and that is limited (config/web_database.py).
timeout = 60
graceful_timeout = 10
# Workers are started afresh now and then, so that nothing they hold can grow for ever.
max_requests = 20_000
max_requests_jitter = 2_000
loglevel = "warning"
# Its lines are in the format of the service, which writes the one line for each request itself.
logger_class = "config.gunicorn_log.ServiceLog"
