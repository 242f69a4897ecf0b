package scanfile

import (
	"encoding/binary"
	"fmt"
	"math"

	"pointup/mesh"
)

// readBinary reads 80 bytes of header, a count and 50 bytes a facet: a normal,
// three points, little-endian float32, and two bytes of attributes. Normal and
// attributes are not used.
func readBinary(s *stream) (mesh.Soup, error) {
	if err := s.need(stlHead); err != nil {
		return mesh.Soup{}, err
	}
	count := binary.LittleEndian.Uint32(s.data[80:])
	if err := checkCount(count, s.size); err != nil {
		return mesh.Soup{}, err
	}
	s.data = s.data[stlHead:]
	w := newWelder(int(count))
	corners := mesh.Large[[3]uint32](int(count))
	rest := startParts(s, corners)
	for done := 0; done < len(corners)-rest.facets; {
		if err := s.need(stlRecord); err != nil {
			return mesh.Soup{}, rest.stop(err)
		}
		n := min(len(s.data)/stlRecord, len(corners)-rest.facets-done)
		if bad := weldRecords(w, s.data[:n*stlRecord], corners[done:done+n]); bad >= 0 {
			return mesh.Soup{}, rest.stop(badRecord(s.data[bad*stlRecord:], s.offset()+int64(bad)*stlRecord, done+bad))
		}
		s.data = s.data[n*stlRecord:]
		done += n
	}
	if err := rest.join(s, w); err != nil {
		return mesh.Soup{}, err
	}
	return mesh.Soup{Points: w.points, Corners: corners}, nil
}

// checkCount holds the count against the size of the file.
func checkCount(count uint32, size int64) error {
	want := stlSize(count)
	facets, rest := (size-stlHead)/stlRecord, (size-stlHead)%stlRecord
	switch {
	case size < want && rest != 0:
		return atByte(size, fmt.Sprintf("triangle %d", facets), copyAgain,
			"the file ends inside a triangle; its count says %d triangles, which take %d bytes, and it has %d", count, want, size)
	case size != want:
		return atByte(80, "count", copyAgain, "the count says %d triangles, which take %d bytes, but the file has %d", count, want, size)
	case count == 0:
		return atByte(80, "count", exportAgain, "the count says 0 triangles")
	case count > facetsMax:
		return tooMany(int64(count))
	}
	return nil
}

// weldRecords decodes one record a corner triple. It stops at the first record
// with a coordinate that cannot be used and returns its number, else -1.
func weldRecords(w *welder, b []byte, corners [][3]uint32) int {
	var points [batch][3]float32
	var index [batch]uint32
	for start := 0; start < len(corners); start += batch / 3 {
		n := min(batch/3, len(corners)-start)
		for i := range n {
			r := (*[stlRecord]byte)(b[(start+i)*stlRecord:])
			if !decodeRecord(r, (*[3][3]float32)(points[3*i:])) {
				return start + i
			}
		}
		w.addAll(points[:3*n], index[:3*n])
		for i := range n {
			corners[start+i] = [3]uint32(index[3*i:])
		}
	}
	return -1
}

// decodeRecord takes the three points out of a record, -0 made 0, and tells
// whether all coordinates are finite and in range. Bit patterns of absolute
// values order as the values do, infinities and NaN last.
func decodeRecord(r *[stlRecord]byte, p *[3][3]float32) bool {
	most := uint32(0)
	for k := range p {
		q := (*[12]byte)(r[12+12*k:])
		x, y, z := binary.LittleEndian.Uint32(q[:]), binary.LittleEndian.Uint32(q[4:]), binary.LittleEndian.Uint32(q[8:])
		most = max(most, x&^signBit, y&^signBit, z&^signBit)
		p[k] = [3]float32{withoutMinus0(x), withoutMinus0(y), withoutMinus0(z)}
	}
	return most <= coordinateMaxBits
}

const signBit = 1 << 31

func withoutMinus0(bits uint32) float32 {
	if bits == signBit {
		bits = 0
	}
	return math.Float32frombits(bits)
}

// coordinateMaxBits is the bit pattern of float32(coordinateMax).
const coordinateMaxBits = 0x5368d4a5

// badRecord says which coordinate of a record cannot be used.
func badRecord(r []byte, offset int64, facet int) error {
	part := fmt.Sprintf("triangle %d", facet)
	for k := range 9 {
		if why := outOfRange(float64(float32At(r, 12+4*k))); why != "" {
			return atByte(offset, part, exportAgain, "vertex %d %s", k/3, why)
		}
	}
	return atByte(offset, part, exportAgain, "a coordinate cannot be used")
}
