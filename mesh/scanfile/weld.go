package scanfile

import (
	"math"

	"pointup/mesh"
)

// welder gives every distinct point one index, in order of first use: an
// open-addressing hash table over the points themselves. Points must be finite
// and free of -0, so that equal means equal bits.
type welder struct {
	points [][3]float32
	slots  []uint32 // index + 1, 0 for none; a power of two long
	shift  uint     // 32 - log2(len(slots))
	recent []uint32 // index + 1 of a point lately used, by the low bits of its hash; 0 for none
}

// recentLength is how many points are found without a look at the table, which
// is far larger than the processor's caches: scanners and mesh programs write
// facets strip by strip, so that most points were used a strip ago at most.
const recentLength = 1 << 14

// newWelder makes room for the points of a closed surface of so many facets,
// half as many and a reserve; it grows when there are more.
func newWelder(facets int) *welder {
	w := &welder{points: mesh.Large[[3]float32](facets/2 + facets/16 + 64)[:0], recent: make([]uint32, recentLength)}
	w.resize(facets)
	return w
}

// resize makes at least n slots and puts the points in anew.
func (w *welder) resize(n int) {
	w.shift = 24
	for w.shift > 0 && 1<<(32-w.shift) < n {
		w.shift--
	}
	w.slots = mesh.Large[uint32](1 << (32 - w.shift))
	mask := uint32(len(w.slots) - 1)
	for i, p := range w.points {
		s := pointHash(p) >> w.shift
		for w.slots[s] != 0 {
			s = (s + 1) & mask
		}
		w.slots[s] = uint32(i) + 1
	}
}

// index returns the index of p, whose hash is h, adding it if it is new.
func (w *welder) index(p [3]float32, h uint32) uint32 {
	mask := uint32(len(w.slots) - 1)
	s := h >> w.shift & mask
	for {
		k := w.slots[s]
		if k == 0 {
			break
		}
		if w.points[k-1] == p {
			return k - 1
		}
		s = (s + 1) & mask
	}
	n := uint32(len(w.points))
	w.points = append(w.points, p)
	w.slots[s] = n + 1
	if len(w.points)*2 > len(w.slots) && w.shift > 0 { // half full: probes stay short
		w.resize(2 * len(w.slots))
	}
	return n
}

// add is index for one point at a time.
func (w *welder) add(p [3]float32) uint32 { return w.index(p, pointHash(p)) }

// batch is how many points are looked up together: their slots are touched
// first, so that the memory's answers overlap instead of queueing.
const batch = 3 * 64

// addAll writes the index of each of at most batch points to to.
func (w *welder) addAll(p [][3]float32, to []uint32) {
	var hash, seen [batch]uint32
	var asked [batch]uint8
	n := 0
	for i := range p {
		h := pointHash(p[i])
		if k := w.recent[h%recentLength]; k != 0 && w.points[k-1] == p[i] {
			to[i] = k - 1
			continue
		}
		hash[n], asked[n] = h, uint8(i)
		n++
	}
	mask := uint32(len(w.slots) - 1)
	for j := range n {
		seen[j] = w.slots[hash[j]>>w.shift&mask]
	}
	for j := range n {
		i, h, k := asked[j], hash[j], seen[j]
		if k == 0 || w.points[k-1] != p[i] {
			k = w.index(p[i], h) + 1
		}
		to[i], w.recent[h%recentLength] = k-1, k
	}
}

// pointHash mixes all bits of the three coordinates; its high bits are the
// best. The constants are odd numbers of no structure (the golden ratio's and
// two of its kin); any such would do.
func pointHash(p [3]float32) uint32 {
	x := uint64(math.Float32bits(p[0])) | uint64(math.Float32bits(p[1]))<<32
	h := x * 0x9e3779b97f4a7c15
	h ^= h >> 32
	h += uint64(math.Float32bits(p[2])) * 0xd6e8feb86659fd93
	h *= 0xe7037ed1a0b428db
	h ^= h >> 29
	return uint32(h >> 32)
}
