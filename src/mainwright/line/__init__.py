"""Follow a run: readings and events to the thickness along the main, advice and alarms."""
