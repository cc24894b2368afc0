"""Looking back at sessions: replay, audit, report."""
