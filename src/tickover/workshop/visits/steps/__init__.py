"""One step of a job: its readings, second check, hold, exceedance, set torque."""
