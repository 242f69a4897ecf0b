package solid

import (
	"archive/zip"
	"bytes"
	"encoding/xml"
	"io"
	"math"
	"testing"

	"github.com/qmuntal/gltf"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
)

// three is what a 3MF model part says, read without the writer's code.
type three struct {
	Unit    string `xml:"unit,attr"`
	Objects []struct {
		Name     string `xml:"name,attr"`
		Vertices []struct {
			X float64 `xml:"x,attr"`
			Y float64 `xml:"y,attr"`
			Z float64 `xml:"z,attr"`
		} `xml:"mesh>vertices>vertex"`
		Triangles []struct {
			V1 int `xml:"v1,attr"`
			V2 int `xml:"v2,attr"`
			V3 int `xml:"v3,attr"`
		} `xml:"mesh>triangles>triangle"`
	} `xml:"resources>object"`
	Items []struct {
		ID int `xml:"objectid,attr"`
	} `xml:"build>item"`
}

func twoPieces() []Piece {
	return []Piece{
		{Mark: "E01", Name: "<mast>", Kind: "tube", Frame: aslant(), Shape: Tube(180, 150, Cut{Z: -200}, Cut{Z: 200}), Props: []Prop{{Key: "wall_mm", Unit: "mm", Num: 15}}},
		{Mark: "E02", Kind: "sphere", Frame: NewFrame(r3.Vec{Z: 900}, r3.Vec{Z: 1}, r3.Vec{X: 1}), Shape: Ball{DiameterMM: 180}},
	}
}

// Test3MF: a reader of its own finds each piece as one mesh of the volume of its
// formula at the scale of the print, no coordinate under zero.
func Test3MF(t *testing.T) {
	var b, again bytes.Buffer
	require.NoError(t, Write3MF(&b, "two & one", twoPieces(), 0.1, 0.05))
	require.NoError(t, Write3MF(&again, "two & one", twoPieces(), 0.1, 0.05))
	require.Equal(t, b.Bytes(), again.Bytes())
	z, err := zip.NewReader(bytes.NewReader(b.Bytes()), int64(b.Len()))
	require.NoError(t, err)
	f, err := z.Open("3D/3dmodel.model")
	require.NoError(t, err)
	data, err := io.ReadAll(f)
	require.NoError(t, err)
	var m three
	require.NoError(t, xml.Unmarshal(data, &m))
	require.Equal(t, "millimeter", m.Unit)
	require.Len(t, m.Objects, 2)
	require.Len(t, m.Items, 2)
	assert.Equal(t, "E01 <mast>", m.Objects[0].Name)
	want := []float64{math.Pi / 4 * (18*18 - 15*15) * 40, math.Pi / 6 * 18 * 18 * 18}
	for i, o := range m.Objects {
		mesh := Mesh{}
		for _, v := range o.Vertices {
			require.GreaterOrEqual(t, min(v.X, v.Y, v.Z), 0.0)
			mesh.Points = append(mesh.Points, r3.Vec{X: v.X, Y: v.Y, Z: v.Z})
		}
		for _, v := range o.Triangles {
			mesh.Triangles = append(mesh.Triangles, [3]uint32{uint32(v.V1), uint32(v.V2), uint32(v.V3)})
		}
		require.NoError(t, mesh.Closed())
		assert.InEpsilon(t, want[i], mesh.VolumeMM3(), 0.005)
	}
}

// TestGLB: nodes carry names, places in metres with y up, and dimensions.
func TestGLB(t *testing.T) {
	scan := tetrahedron()
	var b, again bytes.Buffer
	require.NoError(t, WriteGLB(&b, "two", twoPieces(), scan, 0.5))
	require.NoError(t, WriteGLB(&again, "two", twoPieces(), scan, 0.5))
	require.Equal(t, b.Bytes(), again.Bytes())
	doc := new(gltf.Document)
	require.NoError(t, gltf.NewDecoder(&b).Decode(doc))
	require.Len(t, doc.Nodes, 4)
	assert.Equal(t, []int{1, 2, 3}, doc.Nodes[0].Children)
	ball := doc.Nodes[2]
	assert.Equal(t, "E02", ball.Name)
	assert.Equal(t, [3]float64{0, 0.9, 0}, ball.Translation)
	a := doc.Accessors[doc.Meshes[*ball.Mesh].Primitives[0].Attributes[gltf.POSITION]]
	for k := range 3 {
		assert.InDelta(t, -0.09, a.Min[k], 0.001)
		assert.InDelta(t, 0.09, a.Max[k], 0.001)
	}
	extras, ok := doc.Nodes[1].Extras.(map[string]any)
	require.True(t, ok)
	assert.Equal(t, 15.0, extras["wall_mm"])
	assert.Equal(t, "scan", doc.Nodes[3].Name)
}
