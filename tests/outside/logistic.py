# Multinomial logistic regression with a ridge around zero, by scikit-learn (Debian's
# python3-sklearn). In: a line "features causes strength", then a line per case: cause,
# features. Out: the coefficients, a line a cause.
import sys
import numpy as np
from sklearn.linear_model import LogisticRegression

lines = [line.split() for line in sys.stdin]
features, causes, strength = int(lines[0][0]), int(lines[0][1]), float(lines[0][2])
y = np.array([int(line[0]) for line in lines[1:]])
x = np.array([[float(v) for v in line[1:]] for line in lines[1:]])
assert x.shape[1] == features and len(set(y)) == causes
# sklearn: C * loss + |w|^2 / 2; without an intercept, which it would not penalise
model = LogisticRegression(penalty="l2", C=1 / strength, fit_intercept=False, multi_class="multinomial",
                           solver="newton-cg", tol=1e-12, max_iter=10000).fit(x, y)
for row in model.coef_:
    print(*(repr(float(v)) for v in row))
