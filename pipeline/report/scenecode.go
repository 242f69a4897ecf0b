package report

import (
	"bytes"
	"compress/flate"
	"encoding/base64"
	"encoding/binary"
	"encoding/json"
	"fmt"
	"math"
	"slices"
)

// sceneHead goes before the meshes: what a browser must know of them.
type sceneHead struct {
	LoMM         [3]float64    `json:"lo"`
	StepMM       float64       `json:"step"` // a point is lo + step × its three whole numbers
	IDs          []string      `json:"ids"`
	MovesMM      [][3]float64  `json:"moves"`
	ScanFromSite [3][4]float64 `json:"scan"`
	Colours      []string      `json:"colours"`
	Layers       []layerHead   `json:"layers"`
}

type layerHead struct {
	Name      string   `json:"name"`
	Points    int      `json:"points"`
	Runs      [][2]int `json:"runs"` // piece, triangles
	Deviation bool     `json:"deviation"`
}

// code packs a scene for the page: deflated, base64. The packed bytes are the
// head's length (4, little-endian), the head in JSON, then of each layer: the
// corners of its triangles, its points, the deviation of each.
//
// A corner is the number of points met before less its own number, so that a new
// point is 0; a point is its difference from the one before, each of x, y, z with
// its sign in the lowest bit; both as varints of seven bits a byte. A deviation is
// a byte, 127 for the whole range, -128 for none.
func (s *Scene) code() (string, error) {
	lo, step, err := s.grid()
	if err != nil {
		return "", err
	}
	head := sceneHead{LoMM: lo, StepMM: step, ScanFromSite: s.ScanFromSite, Colours: s.Colours, IDs: []string{}, MovesMM: [][3]float64{}}
	for _, p := range s.Pieces {
		head.IDs, head.MovesMM = append(head.IDs, p.ID), append(head.MovesMM, p.MoveMM)
	}
	var body []byte
	for _, l := range s.Layers {
		var h layerHead
		if h, body, err = l.code(body, lo, step, s.RangeMM, len(s.Pieces)); err != nil {
			return "", fmt.Errorf("layer %s: %w", l.Name, err)
		}
		head.Layers = append(head.Layers, h)
	}
	text, err := json.Marshal(head)
	if err != nil {
		return "", err
	}
	all := append(binary.LittleEndian.AppendUint32(nil, uint32(len(text))), text...)
	var b bytes.Buffer
	z, err := flate.NewWriter(&b, flate.BestCompression)
	if err != nil {
		return "", err
	}
	if _, err := z.Write(append(all, body...)); err != nil {
		return "", err
	}
	if err := z.Close(); err != nil {
		return "", err
	}
	return base64.StdEncoding.EncodeToString(b.Bytes()), nil
}

// grid is the least corner of all points and the step that takes their longest
// side in 65535.
func (s *Scene) grid() (lo [3]float64, step float64, err error) {
	hi := [3]float64{math.Inf(-1), math.Inf(-1), math.Inf(-1)}
	lo = [3]float64{math.Inf(1), math.Inf(1), math.Inf(1)}
	for _, l := range s.Layers {
		for _, p := range l.Points {
			for k, x := range p {
				if math.IsNaN(float64(x)) || math.IsInf(float64(x), 0) {
					return lo, 0, fmt.Errorf("layer %s: a point is %v", l.Name, p)
				}
				lo[k], hi[k] = min(lo[k], float64(x)), max(hi[k], float64(x))
			}
		}
	}
	if hi[0] < lo[0] {
		return [3]float64{}, 1, nil
	}
	side := max(hi[0]-lo[0], hi[1]-lo[1], hi[2]-lo[2], 1e-3)
	return lo, side / 65535, nil
}

func (l Layer) code(body []byte, lo [3]float64, step, rangeMM float64, pieces int) (layerHead, []byte, error) {
	h := layerHead{Name: l.Name, Runs: [][2]int{}, Deviation: l.DeviationMM != nil}
	order := make([]int, len(l.Triangles))
	for i := range order {
		order[i] = i
		if int(l.Piece[i]) > pieces {
			return h, nil, fmt.Errorf("triangle %d: piece %d of %d", i, l.Piece[i], pieces)
		}
	}
	slices.SortStableFunc(order, func(a, b int) int { return int(l.Piece[a]) - int(l.Piece[b]) })
	number := make([]int, len(l.Points)) // 1 + the point's place in met
	var met []uint32
	for _, t := range order {
		piece := int(l.Piece[t])
		if n := len(h.Runs); n == 0 || h.Runs[n-1][0] != piece {
			h.Runs = append(h.Runs, [2]int{piece, 0})
		}
		h.Runs[len(h.Runs)-1][1]++
		for _, v := range l.Triangles[t] {
			before := len(met)
			if number[v] == 0 {
				met = append(met, v)
				number[v] = len(met)
			}
			body = binary.AppendUvarint(body, uint64(before-(number[v]-1)))
		}
	}
	h.Points = len(met)
	var last [3]int64
	for _, v := range met {
		for k, x := range l.Points[v] {
			q := int64(math.Round((float64(x) - lo[k]) / step))
			body = binary.AppendVarint(body, q-last[k])
			last[k] = q
		}
	}
	if h.Deviation {
		for _, v := range met {
			body = append(body, deviationByte(float64(l.DeviationMM[v]), rangeMM))
		}
	}
	return h, body, nil
}

func deviationByte(mm, rangeMM float64) byte {
	if math.IsNaN(mm) {
		return 0x80
	}
	return byte(int8(math.Round(127 * max(-1, min(1, mm/max(rangeMM, 1e-9))))))
}
