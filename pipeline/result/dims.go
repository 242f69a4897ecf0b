package result

import (
	"bytes"
	"encoding/json"
	"fmt"
	"strings"
)

// Dims are the dimensions of an element in the order in which they are written.
type Dims []Dim

// Dim is one dimension: its key, which ends in its unit, and its value.
type Dim struct {
	Key   string
	Value Value
}

// Value is what a dimension holds: MM, MM2, MM3, Deg, Factor, Count, Text, Outline,
// Holes, Segments, Pattern, BoltCircle, WornTeeth, Chains, Sections, Lands or Raw.
type Value interface {
	times(k float64) Value // lengths × k, all else as it is
	suits(key string) bool // whether the key's unit is that of the value
	MarshalJSON() ([]byte, error)
}

// Count is a number of things.
type Count int

// Text is a word: "flat", "round", "right", "left".
type Text string

// Raw is a value of a shape that is not known here, as it was read.
type Raw []byte

func (x MM) times(k float64) Value     { return MM(float64(x) * k) }
func (x Deg) times(float64) Value      { return x }
func (x Factor) times(float64) Value   { return x }
func (n Count) times(float64) Value    { return n }
func (s Text) times(float64) Value     { return s }
func (r Raw) times(float64) Value      { return r }
func (x MM) suits(key string) bool     { return strings.HasSuffix(key, "_mm") }
func (x Deg) suits(key string) bool    { return strings.HasSuffix(key, "_deg") }
func (x Factor) suits(key string) bool { return bare(key) }
func (n Count) suits(key string) bool  { return strings.HasSuffix(key, "_count") }
func (s Text) suits(key string) bool   { return bare(key) }
func (r Raw) suits(string) bool        { return true }

// bare says whether a key has no unit.
func bare(key string) bool {
	for _, unit := range []string{"_mm", "_mm2", "_mm3", "_deg", "_count"} {
		if strings.HasSuffix(key, unit) {
			return false
		}
	}
	return true
}

func endsIn(key, unit string) bool { return strings.HasSuffix(key, unit) }

func (n Count) MarshalJSON() ([]byte, error) { return json.Marshal(int(n)) }
func (s Text) MarshalJSON() ([]byte, error)  { return json.Marshal(string(s)) }
func (r Raw) MarshalJSON() ([]byte, error)   { return r, nil }

// Get returns the value of a key, nil where there is none.
func (d Dims) Get(key string) Value {
	for _, x := range d {
		if x.Key == key {
			return x.Value
		}
	}
	return nil
}

// Number returns the number under a key: mm, degrees, turns or a count.
func (d Dims) Number(key string) (float64, bool) {
	switch x := d.Get(key).(type) {
	case MM:
		return float64(x), true
	case Deg:
		return float64(x), true
	case MM2:
		return float64(x), true
	case MM3:
		return float64(x), true
	case Factor:
		return float64(x), true
	case Count:
		return float64(x), true
	}
	return 0, false
}

// Times returns the dimensions with every length multiplied by k: full size from
// maquette. Angles, counts and words stay.
func (d Dims) Times(k float64) Dims {
	out := make(Dims, len(d))
	for i, x := range d {
		out[i] = x
		if x.Value != nil {
			out[i].Value = x.Value.times(k)
		}
	}
	return out
}

// MarshalJSON writes an object whose keys stand in the order of d.
func (d Dims) MarshalJSON() ([]byte, error) {
	return object(len(d), func(i int) (string, []byte, error) {
		if d[i].Value == nil || !d[i].Value.suits(d[i].Key) {
			return "", nil, fmt.Errorf("dimension %q holds %T", d[i].Key, d[i].Value)
		}
		data, err := d[i].Value.MarshalJSON()
		return d[i].Key, data, err
	})
}

// UnmarshalJSON reads what MarshalJSON writes, in its order.
func (d *Dims) UnmarshalJSON(data []byte) error {
	*d = Dims{}
	return entries(data, func(key string, raw json.RawMessage) error {
		v, err := value(key, raw)
		if err != nil {
			return fmt.Errorf("dimension %q: %w", key, err)
		}
		*d = append(*d, Dim{key, v})
		return nil
	})
}

// value reads a dimension: the key's end and the kind of JSON value say which
// type it has.
func value(key string, raw json.RawMessage) (Value, error) {
	switch raw[0] {
	case '"':
		var s string
		err := json.Unmarshal(raw, &s)
		return Text(s), err
	case '[', '{':
		return structure(key, raw)
	case 't', 'f', 'n':
		return Raw(bytes.Clone(raw)), nil
	}
	var x float64
	if err := json.Unmarshal(raw, &x); err != nil {
		return nil, err
	}
	switch {
	case strings.HasSuffix(key, "_mm"):
		return MM(x), nil
	case strings.HasSuffix(key, "_mm2"):
		return MM2(x), nil
	case strings.HasSuffix(key, "_mm3"):
		return MM3(x), nil
	case strings.HasSuffix(key, "_deg"):
		return Deg(x), nil
	case strings.HasSuffix(key, "_count"):
		return Count(x), nil
	}
	return Factor(x), nil
}

// Width is the half-width of the 95 % interval of one dimension, in its unit.
type Width struct {
	Key   string
	Value float64
}

// Widths are written to two significant digits, in their order.
type Widths []Width

// Get returns the half-width of a key.
func (w Widths) Get(key string) (float64, bool) {
	for _, x := range w {
		if x.Key == key {
			return x.Value, true
		}
	}
	return 0, false
}

func (w Widths) MarshalJSON() ([]byte, error) {
	return object(len(w), func(i int) (string, []byte, error) {
		if w[i].Value < 0 {
			return "", nil, fmt.Errorf("u95 %q is negative", w[i].Key)
		}
		data, err := significant(w[i].Value, 2)
		return w[i].Key, data, err
	})
}

func (w *Widths) UnmarshalJSON(data []byte) error {
	*w = Widths{}
	return entries(data, func(key string, raw json.RawMessage) error {
		var x float64
		if err := json.Unmarshal(raw, &x); err != nil {
			return fmt.Errorf("u95 %q: %w", key, err)
		}
		*w = append(*w, Width{key, x})
		return nil
	})
}

// object writes n keys in their order; a key twice is an error.
func object(n int, entry func(i int) (string, []byte, error)) ([]byte, error) {
	seen := map[string]bool{}
	out := []byte{'{'}
	for i := range n {
		key, data, err := entry(i)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", key, err)
		}
		if seen[key] || key == "" {
			return nil, fmt.Errorf("the key %q stands twice or is empty", key)
		}
		seen[key] = true
		if i > 0 {
			out = append(out, ',')
		}
		name, err := json.Marshal(key)
		if err != nil {
			return nil, err
		}
		out = append(append(append(out, name...), ':'), data...)
	}
	return append(out, '}'), nil
}

// entries hands the entries of an object on, in the order of the text.
func entries(data []byte, take func(key string, raw json.RawMessage) error) error {
	dec := json.NewDecoder(bytes.NewReader(data))
	if t, err := dec.Token(); err != nil || t != json.Delim('{') {
		return fmt.Errorf("an object is expected, not %.20q", data)
	}
	for dec.More() {
		t, err := dec.Token()
		if err != nil {
			return err
		}
		var raw json.RawMessage
		if err := dec.Decode(&raw); err != nil {
			return err
		}
		if err := take(t.(string), raw); err != nil {
			return err
		}
	}
	return nil
}
