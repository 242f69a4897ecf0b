package solid

import (
	"fmt"
	"io"

	"github.com/qmuntal/gltf"
	"github.com/qmuntal/gltf/modeler"
	"gonum.org/v1/gonum/spatial/r3"
)

// WriteGLB writes the pieces as glTF 2.0 in its binary form: metres, y up, a node
// a piece at its frame's origin with its dimensions as extras; the scan, where it
// has triangles, is a node of its own. chordMM is how far triangles leave curved
// surfaces.
func WriteGLB(w io.Writer, title string, pieces []Piece, scan Mesh, chordMM float64) error {
	doc := gltf.NewDocument()
	doc.Asset.Generator = "pointup"
	root := &gltf.Node{Name: title}
	doc.Nodes = []*gltf.Node{root}
	doc.Scenes[0].Nodes = []int{0}
	for _, p := range pieces {
		m, err := p.Shape.Mesh(chordMM)
		if err != nil {
			return fmt.Errorf("%s: %w", p.Mark, err)
		}
		for i, q := range m.Points {
			m.Points[i] = p.Frame.Dir(q.X, q.Y, q.Z)
		}
		node := addMesh(doc, p.Title(), m, p.Colour, 1)
		node.Translation = up(p.Frame.Origin)
		node.Extras = extrasOf(p)
		root.Children = append(root.Children, len(doc.Nodes))
		doc.Nodes = append(doc.Nodes, node)
	}
	if len(scan.Triangles) > 0 {
		node := addMesh(doc, "scan", scan, [3]uint8{196, 178, 150}, 0.4)
		root.Children = append(root.Children, len(doc.Nodes))
		doc.Nodes = append(doc.Nodes, node)
	}
	e := gltf.NewEncoder(w)
	e.AsBinary = true
	return e.Encode(doc)
}

// up takes millimetres, z up, to metres, y up.
func up(p r3.Vec) [3]float64 { return [3]float64{p.X / 1000, p.Z / 1000, -p.Y / 1000} }

func addMesh(doc *gltf.Document, name string, m Mesh, colour [3]uint8, opacity float64) *gltf.Node {
	points := make([][3]float32, len(m.Points))
	for i, p := range m.Points {
		q := up(p)
		points[i] = [3]float32{float32(q[0]), float32(q[1]), float32(q[2])}
	}
	corners := make([]uint32, 0, 3*len(m.Triangles))
	for _, t := range m.Triangles {
		corners = append(corners, t[0], t[1], t[2])
	}
	position := modeler.WritePosition(doc, points)
	indices := modeler.WriteIndices(doc, corners)
	doc.Materials = append(doc.Materials, material(colour, opacity))
	doc.Meshes = append(doc.Meshes, &gltf.Mesh{Name: name, Primitives: []*gltf.Primitive{{
		Indices: gltf.Index(indices), Material: gltf.Index(len(doc.Materials) - 1), Attributes: gltf.PrimitiveAttributes{gltf.POSITION: position},
	}}})
	return &gltf.Node{Name: name, Mesh: gltf.Index(len(doc.Meshes) - 1)}
}

func material(c [3]uint8, opacity float64) *gltf.Material {
	m := &gltf.Material{PBRMetallicRoughness: &gltf.PBRMetallicRoughness{
		BaseColorFactor: &[4]float64{share(c[0]), share(c[1]), share(c[2]), opacity},
		MetallicFactor:  gltf.Float(0.3), RoughnessFactor: gltf.Float(0.7)}}
	if opacity < 1 {
		m.AlphaMode, m.DoubleSided = gltf.AlphaBlend, true
	}
	return m
}

// extrasOf are a piece's mark, kind, material and dimensions under their keys.
func extrasOf(p Piece) map[string]any {
	x := map[string]any{"mark": p.Mark, "kind": p.Kind}
	if p.Material != "" {
		x["material"] = p.Material
	}
	for _, d := range p.Props {
		if d.Text != "" {
			x[d.Key] = d.Text
		} else {
			x[d.Key] = d.Num
		}
	}
	if len(p.Notes) > 0 {
		x["notes"] = p.Notes
	}
	return x
}
