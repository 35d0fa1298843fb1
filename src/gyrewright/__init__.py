"""May this gyroplane fly this lesson, loaded like this, with this crew in this weather; if not, what must change?"""

__version__ = "0.1.0"
