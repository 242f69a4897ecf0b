package solid

import (
	"bytes"
	"encoding/json"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
)

// kernelScript reads STEP files with Open CASCADE (through gmsh) and prints of
// each the solids, their volume, and the points of a mesh laid on its faces.
const kernelScript = `
import gmsh, json, sys
out = {}
for f in sys.argv[1:]:
    gmsh.initialize()
    gmsh.option.setNumber("General.Terminal", 0)
    gmsh.option.setString("Geometry.OCCTargetUnit", "MM")
    gmsh.open(f)
    solids = gmsh.model.getEntities(3)
    volume = sum(gmsh.model.occ.getMass(d, t) for d, t in solids)
    points = []
    if "mesh" in f:
        gmsh.option.setNumber("Mesh.MeshSizeMax", 40)
        gmsh.model.mesh.generate(2)
        for d, t in gmsh.model.getEntities(2):
            c = gmsh.model.mesh.getNodes(d, t, includeBoundary=True)[1]
            points += [list(map(float, c[i:i + 3])) for i in range(0, len(c), 3)]
    out[f] = {"solids": len(solids), "volume": volume, "points": points}
    gmsh.finalize()
print(json.dumps(out))
`

type kernelSays struct {
	Solids int
	Volume float64
	Points [][3]float64
}

// kernel hands files to the kernel; it skips the test where there is none.
func kernel(t *testing.T, files []string) map[string]kernelSays {
	const python = "/usr/bin/python3"
	if exec.Command(python, "-c", "import gmsh").Run() != nil {
		t.Skip("no geometry kernel here: install python3-gmsh")
	}
	var stderr bytes.Buffer
	cmd := exec.Command(python, append([]string{"-c", kernelScript}, files...)...)
	cmd.Stderr = &stderr
	out, err := cmd.Output()
	require.NoError(t, err, stderr.String())
	says := map[string]kernelSays{}
	require.NoError(t, json.Unmarshal(out, &says))
	return says
}

// aslant is a frame along no coordinate direction.
func aslant() Frame {
	return NewFrame(r3.Vec{X: 310, Y: -170, Z: 440}, r3.Vec{X: 0.3, Y: -0.8, Z: 0.52}, r3.Vec{X: 1})
}

func written(t *testing.T, dir, name string, s Shape) string {
	path := filepath.Join(dir, strings.NewReplacer(" ", "-", ",", "").Replace(name)+".step")
	f, err := os.Create(path)
	require.NoError(t, err)
	require.NoError(t, WritePart(f, filepath.Base(path), Piece{Mark: "E01", Name: name, Kind: "tube", Material: "steel", Frame: aslant(), Shape: s}))
	require.NoError(t, f.Close())
	return path
}

// TestKernelVolumes: an independent kernel reads one closed solid from every
// file, of the volume that the shape says: within 1e-6, 1e-5 for what is spline.
func TestKernelVolumes(t *testing.T) {
	dir := t.TempDir()
	var files []string
	for _, s := range specimens() {
		files = append(files, written(t, dir, s.name, s.shape))
	}
	says := kernel(t, files)
	for i, s := range specimens() {
		k := says[files[i]]
		require.Equal(t, 1, k.Solids, s.name)
		within := 1e-6
		if _, spline := s.shape.(Coil); spline {
			within = 1e-5
		}
		assert.InEpsilon(t, s.shape.VolumeMM3(), k.Volume, within, s.name)
	}
}

// TestKernelPoints: points that the kernel lays on the faces of tube, ball, ring
// and cone lie on those by their formulas.
func TestKernelPoints(t *testing.T) {
	away := func(list ...float64) float64 { // from the nearest of some surfaces
		least := math.Inf(1)
		for _, d := range list {
			least = min(least, math.Abs(d))
		}
		return least
	}
	cases := map[string]struct {
		shape Shape
		off   func(rho, z float64) float64
	}{
		"mesh tube": {Tube(180, 150, Cut{Z: -200}, Cut{Z: 200}), func(rho, z float64) float64 { return away(rho-90, rho-75, z-200, z+200) }},
		"mesh ball": {Ball{DiameterMM: 180}, func(rho, z float64) float64 { return math.Hypot(rho, z) - 90 }},
		"mesh ring": {RoundRing{300, 60, 0}, func(rho, z float64) float64 { return math.Hypot(rho-150, z) - 30 }},
		"mesh cone": {Frustum(240, 80, 260, 0), func(rho, z float64) float64 { return away(rho-120+80*z/260, z, z-260) }},
	}
	dir := t.TempDir()
	var files, names []string
	for name, c := range cases {
		names = append(names, name)
		files = append(files, written(t, dir, name, c.shape))
	}
	says := kernel(t, files)
	for i, name := range names {
		points := says[files[i]].Points
		require.Greater(t, len(points), 50, name)
		for _, q := range points {
			p := aslant().Local(r3.Vec{X: q[0], Y: q[1], Z: q[2]})
			assert.InDelta(t, 0, cases[name].off(math.Hypot(p.X, p.Y), p.Z), 1e-6, name)
		}
	}
}

// TestKernelAssembly: the kernel puts each piece of an assembly where its frame
// says.
func TestKernelAssembly(t *testing.T) {
	path := filepath.Join(t.TempDir(), "mesh-assembly.step")
	f, err := os.Create(path)
	require.NoError(t, err)
	ball := NewFrame(r3.Vec{X: -500, Y: 900, Z: 90}, r3.Vec{Z: 1}, r3.Vec{X: 1})
	require.NoError(t, WriteAssembly(f, "assembly.step", "two", []Piece{
		{Mark: "E01", Frame: aslant(), Shape: Tube(180, 150, Cut{Z: -200}, Cut{Z: 200})},
		{Mark: "E02", Frame: ball, Shape: Ball{DiameterMM: 180}},
	}))
	require.NoError(t, f.Close())
	k := kernel(t, []string{path})[path]
	require.Equal(t, 2, k.Solids)
	for _, q := range k.Points {
		at := r3.Vec{X: q[0], Y: q[1], Z: q[2]}
		p, b := aslant().Local(at), ball.Local(at)
		rho := math.Hypot(p.X, p.Y)
		off := min(math.Abs(rho-90), math.Abs(rho-75), math.Abs(p.Z-200), math.Abs(p.Z+200), math.Abs(r3.Norm(b)-90))
		require.InDelta(t, 0, off, 1e-6)
	}
}
