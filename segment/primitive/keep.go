package primitive

import (
	"encoding/binary"
	"errors"
	"fmt"
	"math"
	"reflect"
	"unsafe"
)

// keepable are the solids that an element can be kept with; a new primitive adds
// its own.
func keepable() []solid {
	return []solid{&round{}, &torus{}, &bend{}, &coil{}, &sector{}, &chain{}, &cone{}, &sphere{}, &slab{}, &coneSection{}, &prism{}}
}

// Ideal returns the element's ideal surface as bytes, which SetIdeal takes up
// again: distances from it are then the same to the last bit. Empty for freeform.
//
// The parameters are read field by field, so that no solid needs to say how it is
// kept. Functions are not kept: a slab's contour is, from which its own is made.
func (e *Element) Ideal() ([]byte, error) {
	if e.solid == nil {
		return nil, nil
	}
	s := e.solid
	if f, ok := s.(interface{ flat() *slab }); ok {
		s = f.flat()
	}
	for i, k := range keepable() {
		if reflect.TypeOf(k) == reflect.TypeOf(s) {
			w := &keepWriter{out: []byte{byte(i)}}
			w.value(reflect.ValueOf(&e.solidOriginMM).Elem())
			w.value(reflect.ValueOf(s).Elem())
			return w.out, w.err
		}
	}
	return nil, fmt.Errorf("a %T is not kept", e.solid)
}

var errIdeal = errors.New("the ideal surface is damaged")

// SetIdeal gives the element the ideal surface that Ideal returned.
func (e *Element) SetIdeal(data []byte) error {
	list := keepable()
	if len(data) == 0 {
		e.solid = nil
		return nil
	}
	if int(data[0]) >= len(list) {
		return errIdeal
	}
	s := list[data[0]]
	r := &keepReader{in: data[1:]}
	r.value(reflect.ValueOf(&e.solidOriginMM).Elem())
	r.value(reflect.ValueOf(s).Elem())
	if r.err != nil || len(r.in) > 0 {
		return errIdeal
	}
	if f, ok := s.(*slab); ok {
		if f.contour.outer == nil {
			return errIdeal
		}
		f.bounds = f.contour.distance
	}
	if f, ok := s.(*prism); ok && f.contour.outer == nil {
		return errIdeal
	}
	e.solid = s
	return nil
}

// copied returns a solid of its own with the parameters of s; nil where these are
// not all there is to it.
func copied(s solid) solid {
	from := reflect.ValueOf(s).Elem()
	w := &keepWriter{}
	w.value(from)
	to := reflect.New(from.Type())
	r := &keepReader{in: w.out}
	r.value(to.Elem())
	if w.err != nil || r.err != nil {
		return nil
	}
	return to.Interface().(solid)
}

// flat is the part of a wheel that says where its surface is.
func (c *toothedWheel) flat() *slab { return &c.slab }

// flat has the holes that the plate has now: describing it may drop some.
func (c *plate) flat() *slab {
	s := c.slab
	s.contour.inner = nil
	for _, h := range c.inner {
		s.contour.inner = append(s.contour.inner, &opening{chain: h.line, r: math.Inf(1)})
	}
	return &s
}

type keepWriter struct {
	out []byte
	err error
}

func (w *keepWriter) number(x uint64) { w.out = binary.AppendUvarint(w.out, x) }

func (w *keepWriter) value(v reflect.Value) {
	switch v.Kind() {
	case reflect.Bool:
		w.number(map[bool]uint64{true: 1}[v.Bool()])
	case reflect.Int, reflect.Int32, reflect.Int64:
		w.number(uint64(v.Int()))
	case reflect.Float64:
		w.out = binary.LittleEndian.AppendUint64(w.out, math.Float64bits(v.Float()))
	case reflect.Pointer:
		if v.IsNil() {
			w.number(0)
			return
		}
		w.number(1)
		w.value(v.Elem())
	case reflect.Slice:
		w.number(uint64(v.Len()))
		fallthrough
	case reflect.Array:
		for i := range v.Len() {
			w.value(v.Index(i))
		}
	case reflect.Struct:
		for i := range v.NumField() {
			w.value(v.Field(i))
		}
	case reflect.Func: // made anew
	default:
		w.err = fmt.Errorf("a %v is not kept", v.Type())
	}
}

type keepReader struct {
	in  []byte
	err error
}

func (r *keepReader) number() uint64 {
	x, n := binary.Uvarint(r.in)
	if n <= 0 {
		r.in, r.err = nil, errIdeal
		return 0
	}
	r.in = r.in[n:]
	return x
}

// value fills v, which is part of a solid made here. Fields of a solid have no
// exported names; they are reached by their address.
func (r *keepReader) value(v reflect.Value) {
	v = reflect.NewAt(v.Type(), unsafe.Pointer(v.UnsafeAddr())).Elem()
	switch v.Kind() {
	case reflect.Bool:
		v.SetBool(r.number() == 1)
	case reflect.Int, reflect.Int32, reflect.Int64:
		v.SetInt(int64(r.number()))
	case reflect.Float64:
		if len(r.in) < 8 {
			r.in, r.err = nil, errIdeal
			return
		}
		v.SetFloat(math.Float64frombits(binary.LittleEndian.Uint64(r.in)))
		r.in = r.in[8:]
	case reflect.Pointer:
		if r.number() == 1 {
			v.Set(reflect.New(v.Type().Elem()))
			r.value(v.Elem())
		}
	case reflect.Slice:
		n := r.number()
		if n > uint64(len(r.in)) { // each element takes a byte at least
			r.in, r.err = nil, errIdeal
			return
		}
		if n > 0 {
			v.Set(reflect.MakeSlice(v.Type(), int(n), int(n)))
		}
		fallthrough
	case reflect.Array:
		for i := range v.Len() {
			r.value(v.Index(i))
		}
	case reflect.Struct:
		for i := range v.NumField() {
			r.value(v.Field(i))
		}
	}
}
