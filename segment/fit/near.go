package fit

import "gonum.org/v1/gonum/spatial/r3"

// The fits of a search, which asks for many and keeps few: FitCylinder and its
// like to some hundredth of the noise, of points that all count alike, without
// what the other says of its answer. What the points do not determine is not told
// from what they do.
//
// Errors: ErrInput, ErrTooFew, and of no sound feature near the start.

func NearCylinder(points []r3.Vec, start Cylinder) (Cylinder, error) {
	return near(points, start, cylinderKind())
}

func NearCone(points []r3.Vec, start Cone) (Cone, error) { return near(points, start, coneKind()) }

func NearSphere(points []r3.Vec, start Sphere) (Sphere, error) {
	return near(points, start, sphereKind())
}

func NearTorus(points []r3.Vec, start Torus) (Torus, error) { return near(points, start, torusKind()) }

func near[F ideal](points []r3.Vec, start F, k kind[F]) (F, error) {
	c, err := newCloud(points, nil)
	if err != nil {
		return start, err
	}
	f, err := coarse(k)(c.at, nil, k.in(start, c))
	return k.out(f, c), err
}
