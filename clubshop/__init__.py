"""Settings, addresses and how to start; no domain code."""

import os

# Before numpy is first imported: on a small, busy machine its threads wait for each other and triple a ranking's time.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
