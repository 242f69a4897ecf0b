package fitup

import (
	"context"
	"math/rand/v2"
	"testing"

	"pointup/mesh/synthetic"
	"pointup/pipeline/stock"
)

// Thirty parts and some sixty contacts: two random scenes side by side.
func BenchmarkSolve(b *testing.B) {
	var scan, sized []stock.Part
	var contacts []stock.Contact
	for _, seed := range []uint64{15, 32} {
		s, err := synthetic.RandomWeld(seed, 15)
		if err != nil {
			b.Fatal(err)
		}
		x := madeScene(b, s, 2)
		n := len(scan)
		for _, c := range x.contacts {
			c.A, c.B = c.A+n, c.B+n
			contacts = append(contacts, c)
		}
		for _, p := range x.parts {
			p.ID += string(rune('a' + n/15))
			scan = append(scan, p)
		}
		for i, p := range stocked(x.parts, 0.03, rand.New(rand.NewPCG(seed, 2))) {
			p.ID = scan[n+i].ID
			sized = append(sized, p)
		}
	}
	b.ResetTimer()
	for b.Loop() {
		if _, err := Solve(context.Background(), scan, sized, contacts, nil, DefaultOptions()); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(float64(len(contacts)), "contacts")
}
