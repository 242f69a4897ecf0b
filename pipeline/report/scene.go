package report

import "html/template"

// Art is what the page shows beside the document; any of it may be missing.
type Art struct {
	Pictures map[string][]byte // overview.png, exploded.png, deviation.png, seen.png, the four sides (front.png …) and ID.png of each element, each a PNG
	Sketches map[string]string // by element id: its dimensioned sketch, an SVG of our own making
	Scene    *Scene
	Files    []string // names in the output folder that a sheet may lead to
}

// Scene is what Fig. 1 shows, at full size: mm, z up, the ground at z = 0.
type Scene struct {
	Pieces       []ScenePiece
	Layers       []Layer // in the order in which they are offered
	ScanFromSite [3][4]float64
	RangeMM      float64 // deviation at the ends of the colour scale
	Colours      []string
}

// ScenePiece is an element and where it goes when the piece is drawn apart.
type ScenePiece struct {
	ID     string
	MoveMM [3]float64
}

// Layer is one mesh of the whole: the scan, the fitted pieces, those of stock.
//
// Shapes: Piece has a number a triangle, 1 for the first of Pieces, 0 for none;
// DeviationMM one a point, NaN for none, or is nil.
type Layer struct {
	Name        string
	Label       string
	Points      [][3]float32
	Triangles   [][3]uint32
	Piece       []uint16
	DeviationMM []float32
}

// turned is Fig. 1 as the template takes it.
type turned struct {
	Data    template.HTML // base64
	Layers  []layerKey
	Colours []colourKey
	Stills  []figure
	Off     bool // a layer has deviations
	Script  template.JS
}

// layerKey is a choice of what is shown.
type layerKey struct {
	Value, Label string
	First        bool
}

// colourKey is a step of the colour scale, from the most negative.
type colourKey struct {
	Colour template.CSS
	Label  string
}
