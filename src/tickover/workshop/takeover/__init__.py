"""An engine that comes from elsewhere: its hours, its parts and the services in its old logbook, brought forward.

It writes through the actions of the register, engine time, components and programme, and imports none above them.
"""
