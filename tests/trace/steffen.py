"""The interpolation of model.md along a speed line and across speeds. Source: M. Steffen, A simple method for monotonic
interpolation in one dimension, Astronomy and Astrophysics 239 (1990) 443-450; at an end the slope of its interval."""
import numpy as np


class Steffen:
    def __init__(self, x, y):
        self.x, self.y = np.asarray(x, float), np.asarray(y, float)
        self.h = np.diff(self.x)
        self.rise = np.diff(self.y) / self.h
        before, after = self.rise[:-1], self.rise[1:]
        through = (before * self.h[1:] + after * self.h[:-1]) / (self.h[1:] + self.h[:-1])
        least = np.minimum(np.minimum(abs(before), abs(after)), 0.5 * abs(through))
        inner = (np.sign(before) + np.sign(after)) * least
        self.slope = np.concatenate([self.rise[:1], inner, self.rise[-1:]])

    def __call__(self, at):
        """Held at the ends."""
        at = np.clip(at, self.x[0], self.x[-1])
        i = np.clip(np.searchsorted(self.x, at, side="right") - 1, 0, len(self.h) - 1)
        d, h, s = at - self.x[i], self.h[i], self.rise[i]
        a = (self.slope[i] + self.slope[i + 1] - 2 * s) / h**2
        b = (3 * s - 2 * self.slope[i] - self.slope[i + 1]) / h
        return ((a * d + b) * d + self.slope[i]) * d + self.y[i]
