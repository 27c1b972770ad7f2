"""Judge: from records to verdicts, as pure functions of job, plan and records."""
