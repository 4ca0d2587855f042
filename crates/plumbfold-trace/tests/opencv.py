"""The numbers that polygon and homography are held against, from a general-purpose vision library.

pip install opencv-python-headless, then run. Kept in src/polygon/tests.rs and src/view/tests.rs are
those of version 5.0.0.
"""
import cv2
import numpy as np

print(cv2.__version__)
dots = np.array([[102, 87], [1488, 121], [1402, 1103], [61, 1010]], np.float32)
places = np.array([[0, 0], [297, 0], [297, 210], [0, 210]], np.float32)
for row in cv2.getPerspectiveTransform(dots, places):
    print(*("%.12e" % v for v in row))
half = [[0, 0], [30, 12], [80, 140], [62, 158], [15, 165]]
whole = half + [[-x, y] for x, y in reversed(half[1:])]
outline = np.array(whole, np.float32) + np.array([103, 40], np.float32)
m = cv2.moments(outline)
print(cv2.contourArea(outline), *(m[k] for k in ("m00", "m10", "m01", "mu20", "mu11", "mu02")))
