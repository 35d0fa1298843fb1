"""May this gyroplane, loaded like this, fly this lesson with this crew in this weather; and if not, what would change it?"""

__version__ = "0.1.0"
