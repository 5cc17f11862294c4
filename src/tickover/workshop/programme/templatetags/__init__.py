"""Template tags of the programme: limit boxes, weeks, and a task’s open job."""
