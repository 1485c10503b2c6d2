"""Planning of binder-jet printed sand core builds: from core meshes and a process profile to a plan."""

__version__ = "0.1.0"
