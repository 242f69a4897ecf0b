package scanfile

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"math"
	"testing"

	"pointup/mesh"
)

var sizes = []int{1e4, 1e5, 1e6}

func benchmarkRead(b *testing.B, of func([]triangle) []byte) {
	for _, n := range sizes {
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			data := of(wavy(n))
			b.SetBytes(int64(len(data)))
			b.ReportAllocs()
			facets := 0
			for b.Loop() {
				s, err := parse(context.Background(), bytes.NewReader(data), int64(len(data)), "scan.stl", nil)
				if err != nil {
					b.Fatal(err)
				}
				facets += len(s.Corners)
			}
			b.ReportMetric(float64(facets)/b.Elapsed().Seconds(), "faces/s")
		})
	}
}

func BenchmarkReadBinary(b *testing.B) {
	benchmarkRead(b, func(t []triangle) []byte { return binaryOf("scan", t) })
}

func BenchmarkReadASCII(b *testing.B) {
	benchmarkRead(b, func(t []triangle) []byte { return []byte(textOf("scan", t)) })
}

func BenchmarkReadPLY(b *testing.B) {
	benchmarkRead(b, func(t []triangle) []byte {
		var w bytes.Buffer
		if err := WritePLY(&w, unlabelled(soupOf(t))); err != nil {
			b.Fatal(err)
		}
		return w.Bytes()
	})
}

func BenchmarkWritePLY(b *testing.B) {
	for _, n := range sizes {
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			l := unlabelled(soupOf(wavy(n)))
			facets := 0
			for b.Loop() {
				if err := WritePLY(io.Discard, l); err != nil {
					b.Fatal(err)
				}
				facets += len(l.Soup.Corners)
			}
			b.ReportMetric(float64(facets)/b.Elapsed().Seconds(), "faces/s")
		})
	}
}

// soupOf welds by the map of the language, to hold the reader against.
func soupOf(t []triangle) mesh.Soup {
	var s mesh.Soup
	index := map[[3]float32]uint32{}
	for _, v := range t {
		var c [3]uint32
		for k, p := range v {
			i, ok := index[p]
			if !ok {
				i = uint32(len(s.Points))
				index[p] = i
				s.Points = append(s.Points, p)
			}
			c[k] = i
		}
		s.Corners = append(s.Corners, c)
	}
	return s
}

// unlabelled gives a soup labels of which each differs from the next.
func unlabelled(s mesh.Soup) Labelled {
	l := Labelled{Soup: s, Element: make([]uint32, len(s.Corners)), Role: make([]uint8, len(s.Corners)), DeviationMM: make([]float32, len(s.Points))}
	for i := range l.Element {
		l.Element[i], l.Role[i] = uint32(i), uint8(i%4)
	}
	for i := range l.DeviationMM {
		l.DeviationMM[i] = float32(i) / 8
		if i%5 == 0 {
			l.DeviationMM[i] = float32(math.NaN())
		}
	}
	return l
}
