package synthetic

import (
	"bufio"
	"bytes"
	"crypto/sha256"
	"encoding/binary"
	"encoding/hex"
	"io"
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"pointup/mesh"
)

const (
	stlHeader = 84 // text of 80 bytes, count
	stlFacet  = 50 // normal, three corners, two bytes of nothing
)

// STL returns the scan as a binary STL file, in mm.
func (s Scanned) STL() []byte {
	var out bytes.Buffer
	out.Grow(stlHeader + stlFacet*len(s.Triangles))
	_ = s.WriteSTL(&out) // a buffer takes everything
	return out.Bytes()
}

// WriteSTL writes the scan as a binary STL file, in mm.
func (s Scanned) WriteSTL(w io.Writer) error {
	out := bufio.NewWriterSize(w, 1<<16)
	if err := writeHeader(out, s.Name, len(s.Triangles)); err != nil {
		return err
	}
	for _, t := range s.Triangles {
		if err := writeFacet(out, t); err != nil {
			return err
		}
	}
	return out.Flush()
}

func writeHeader(w io.Writer, name string, facets int) error {
	var head [stlHeader]byte
	copy(head[:80], "synthetic scan, mm: "+name) // never starts with "solid"
	binary.LittleEndian.PutUint32(head[80:], uint32(facets))
	_, err := w.Write(head[:])
	return err
}

func writeFacet(w io.Writer, t [3][3]float32) error {
	var b [stlFacet]byte
	n := single(unitOr(areaVector(t), r3.Vec{}))
	for k, p := range [4][3]float32{n, t[0], t[1], t[2]} {
		for c, x := range p {
			binary.LittleEndian.PutUint32(b[12*k+4*c:], math.Float32bits(x))
		}
	}
	_, err := w.Write(b[:])
	return err
}

// Soup returns the scan as a reader of its STL file would: points by first use,
// facets in order.
func (s Scanned) Soup(file string) mesh.Soup {
	sum := sha256.New()
	_ = s.WriteSTL(sum) // a hash takes everything
	out := mesh.Soup{File: file, SHA256: hex.EncodeToString(sum.Sum(nil)), Corners: make([][3]uint32, len(s.Triangles))}
	seen := make(map[[3]uint32]uint32, len(s.Triangles)/2+2)
	for f, t := range s.Triangles {
		for k, p := range t {
			bits := [3]uint32{math.Float32bits(p[0]), math.Float32bits(p[1]), math.Float32bits(p[2])}
			i, ok := seen[bits]
			if !ok {
				i = uint32(len(out.Points))
				seen[bits] = i
				out.Points = append(out.Points, p)
			}
			out.Corners[f][k] = i
		}
	}
	return out
}

// Stream writes a scene as a binary STL file, one piece in memory at a time,
// and returns the number of facets. It refuses options that need the whole
// scan. The bytes are those that Scan would give.
func Stream(w io.Writer, scene Scene, opt Options) (facets int, err error) {
	if !opt.streams() {
		return 0, errStream
	}
	ready, err := prepare(scene, opt)
	if err != nil {
		return 0, err
	}
	for _, p := range ready {
		facets += p.plan.facets
	}
	out := bufio.NewWriterSize(w, 1<<20)
	if err := writeHeader(out, scene.Name, facets); err != nil {
		return 0, err
	}
	for i, p := range ready {
		ready[i].plan = plan{} // its section is not needed again
		s := disturbed(p.plan.build(), scene.Pieces[i], p.frame, i, opt)
		for _, f := range s.Faces {
			t := [3][3]float32{single(s.Points[f[0]]), single(s.Points[f[1]]), single(s.Points[f[2]])}
			if err := writeFacet(out, t); err != nil {
				return 0, err
			}
		}
	}
	return facets, out.Flush()
}
