"""One step of a job: its readings, second check, hold, exceedance, set torque.

Imports `readings`, `sheets` and the job's models; writes nothing.
"""
