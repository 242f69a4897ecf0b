package main

import (
	"encoding/binary"
	"errors"
	"io"
	"math"
	"os"
)

// Layout of a binary STL.
const (
	headBytes   = 84 // 80 of anything, 4 of count
	recordBytes = 50 // a normal, three points, two bytes
	blockBytes  = 20000 * recordBytes
)

// bareDecode is the least that any program does with a binary STL: it reads the
// file block by block into one buffer and takes every float of every facet, of
// which it keeps the greatest alone. It returns that.
func bareDecode(path string) (greatest float32, err error) {
	f, err := os.Open(path)
	if err != nil {
		return 0, err
	}
	defer f.Close()
	block := make([]byte, blockBytes)
	if _, err := io.ReadFull(f, block[:headBytes]); err != nil {
		return 0, err
	}
	for {
		n, err := io.ReadFull(f, block)
		for b := block[:n]; len(b) >= recordBytes; b = b[recordBytes:] {
			greatest = max(greatest, greatestOf((*[recordBytes]byte)(b)))
		}
		if errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF) {
			return greatest, nil
		}
		if err != nil {
			return 0, err
		}
	}
}

// greatestOf is the greatest of a record's twelve numbers, in size.
func greatestOf(r *[recordBytes]byte) float32 {
	most := uint32(0) // bit patterns of positive numbers are in the same order
	for k := range 12 {
		most = max(most, binary.LittleEndian.Uint32(r[4*k:])&^(1<<31))
	}
	return math.Float32frombits(most)
}
