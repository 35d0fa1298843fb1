"""May this gyroplane, loaded like this, fly this lesson with this crew in this weather; if not, what would have to change?"""

__version__ = "0.1.0"
