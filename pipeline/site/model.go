// Package site checks whether the work stands where it is put up: its frame, the
// wind and the other loads on it, its base and its welds.
//
// Everything here is a preliminary check for a licensed engineer. SITE frame (z up,
// ground at z = 0), mm, N, N·mm, kg, rad; stresses MPa.
package site

import "gonum.org/v1/gonum/spatial/r3"

// Model is a space frame. Beams bend, links and what they join do not.
//
// Shapes: beams, links, masses and supports name nodes by index.
type Model struct {
	Nodes    []Node
	Beams    []Beam
	Links    []Link
	Masses   []Mass
	Supports []Support
}

// Node is a place with six freedoms; Of says what it belongs to, for messages.
type Node struct {
	AtMM r3.Vec
	Of   string
}

// Beam is straight between two nodes. Up shows the way of the section's y; where it
// is zero, y is square to the axis of SITE that is least parallel to the beam.
type Beam struct {
	A, B    int
	Section Section
	Up      r3.Vec
	Part    int // whose piece it is
}

// Link holds two nodes rigidly together. Its force is given at AtMM.
type Link struct {
	A, B int
	AtMM r3.Vec
}

// Mass is a rigid body whose centre of mass is at a node.
type Mass struct {
	Node         int
	KG           float64
	InertiaKGMM2 [3][3]float64 // about the node, along SITE's axes
}

// Support holds freedoms of a node: x, y, z, and turns about them.
type Support struct {
	Node  int
	Fixed [6]bool
}

// Fixed holds a node in all six freedoms.
func Fixed(node int) Support {
	return Support{Node: node, Fixed: [6]bool{true, true, true, true, true, true}}
}

// Section of a beam: y and z are its principal axes.
type Section struct {
	AreaMM2       float64
	IyMM4, IzMM4  float64 // about y, about z
	JMM4          float64 // torsion constant
	WyMM3, WzMM3  float64 // elastic section moduli about y, about z
	WtMM3         float64 // torsion modulus
	ShearPeak     float64 // largest shear stress over the mean one
	MassKGMM      float64 // of a millimetre
	PolarMassKGMM float64 // mass moment of a millimetre about the axis, kg·mm²/mm
	Round         bool    // bar or tube: bending of both ways meets on one diameter
	ElasticMPa    float64
	ShearMPa      float64
}

// Wrench is a force and the moment that goes with it at a stated point.
type Wrench struct{ ForceN, MomentNMM r3.Vec }

// about moves a wrench given at one point to another.
func (w Wrench) about(from, to r3.Vec) Wrench {
	return Wrench{w.ForceN, r3.Add(w.MomentNMM, r3.Cross(r3.Sub(from, to), w.ForceN))}
}

func (w Wrench) plus(v Wrench) Wrench {
	return Wrench{r3.Add(w.ForceN, v.ForceN), r3.Add(w.MomentNMM, v.MomentNMM)}
}

func (w Wrench) times(k float64) Wrench {
	return Wrench{r3.Scale(k, w.ForceN), r3.Scale(k, w.MomentNMM)}
}

// Case is one set of loads.
type Case struct {
	Nodes []NodeLoad
	Beams []BeamLoad
}

// NodeLoad acts at a node.
type NodeLoad struct {
	Node int
	Wrench
}

// BeamLoad is spread evenly along a beam, in SITE's directions.
type BeamLoad struct {
	Beam  int
	NPerM r3.Vec // N for every metre
}
