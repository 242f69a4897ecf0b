package scanfile

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"io"

	"pointup/mesh"
)

const (
	// chunkBytes is read at once: 5 242 facets of a binary STL, which stay in the
	// processor's caches from reading to hashing and decoding, and ctx is
	// looked at well within every 65 536 facets.
	chunkBytes = 1 << 18
	// carryMax is the room for the rest of a chunk that goes before the next
	// one: no line and no record that must lie in one piece is longer.
	carryMax = 64 << 10
	// chunks in flight: one decoded, one hashed, one read.
	chunks = 3
)

// stream hands a file out in chunks. A second goroutine reads them and takes
// their SHA-256 while the first decodes.
type stream struct {
	data []byte // bytes read and not yet used; the user moves it forward

	ctx         context.Context
	at          io.ReaderAt // the same file from anywhere; nil where it cannot be
	tell        mesh.Tell
	size, taken int64 // bytes of the file, bytes handed out
	free, full  chan *chunk
	quit        chan struct{}
	ended       chan struct{}
	hash        [sha256.Size]byte // right once ended is closed
	cur         *chunk
	last        bool
}

type chunk struct {
	raw  []byte // carryMax bytes of room, then what was read
	n    int
	err  error
	last bool
}

// newStream starts reading r, which should hold size bytes. The caller must
// call stop.
func newStream(ctx context.Context, r io.Reader, size int64, tell mesh.Tell) *stream {
	s := &stream{
		ctx: ctx, tell: tell, size: size,
		free: make(chan *chunk, chunks), full: make(chan *chunk, chunks),
		quit: make(chan struct{}), ended: make(chan struct{}),
	}
	s.at, _ = r.(io.ReaderAt)
	room := int64(chunkBytes)
	if size < room {
		room = max(size, 0) + 1 // the byte more shows a file that grew
	}
	for range chunks {
		s.free <- &chunk{raw: make([]byte, carryMax+room)}
	}
	go s.pump(r)
	return s
}

// pump reads and hashes until the end of r, an error or stop.
func (s *stream) pump(r io.Reader) {
	defer close(s.ended)
	h := sha256.New()
	for {
		var c *chunk
		select {
		case c = <-s.free:
		case <-s.quit:
			return
		}
		n, err := io.ReadFull(r, c.raw[carryMax:])
		c.n, c.err, c.last = n, err, err != nil
		if err == io.EOF || err == io.ErrUnexpectedEOF {
			c.err = nil
		}
		last := c.last
		s.full <- c // has room for every chunk; from here on only read by both
		h.Write(c.raw[carryMax : carryMax+n])
		if last {
			break
		}
	}
	h.Sum(s.hash[:0])
}

// stop ends the reading goroutine and waits for it.
func (s *stream) stop() {
	close(s.quit)
	<-s.ended
}

// offset is the place in the file of the next unused byte.
func (s *stream) offset() int64 { return s.taken - int64(len(s.data)) }

// left is how many bytes of the file are not yet used.
func (s *stream) left() int64 { return s.size - s.offset() }

// more puts the next chunk behind the unused bytes, of which there may be
// carryMax. It returns io.EOF when there is nothing more. Slices of data taken
// before are no longer valid.
func (s *stream) more() error {
	if err := s.ctx.Err(); err != nil {
		return err
	}
	if s.last {
		return io.EOF
	}
	if len(s.data) > carryMax {
		return atByte(s.offset(), "", exportAgain, "a line or record of more than %d bytes", carryMax)
	}
	c := <-s.full
	if c.err != nil {
		e := unread(c.err)
		e.Offset = s.taken + int64(c.n)
		return e
	}
	start := carryMax - len(s.data)
	copy(c.raw[start:carryMax], s.data)
	s.data = c.raw[start : carryMax+c.n]
	s.taken += int64(c.n)
	s.last = c.last
	if s.cur != nil {
		s.free <- s.cur
	}
	s.cur = c
	if s.taken > s.size || s.last && s.taken < s.size {
		return whole("wait until it is written, then read it again", "the file changed its size while it was read (%d bytes, then %d)", s.size, s.taken)
	}
	if s.tell != nil {
		s.tell("read", s.taken, s.size)
	}
	if c.n == 0 {
		return io.EOF
	}
	return nil
}

// need makes at least n bytes lie in data, n being at most carryMax. It
// returns io.EOF when the file ends before.
func (s *stream) need(n int) error {
	for len(s.data) < n {
		if err := s.more(); err != nil {
			return err
		}
	}
	return nil
}

// lines returns the next whole lines, as many as are at hand, or at the end of
// the file the rest; io.EOF after that. They hold until the next call.
func (s *stream) lines() ([]byte, error) {
	for {
		if n := wholeLines(s.data); n > 0 {
			b := s.data[:n]
			s.data = s.data[n:]
			return b, nil
		}
		err := s.more()
		if err == io.EOF && len(s.data) > 0 {
			b := s.data
			s.data = s.data[len(b):]
			return b, nil
		}
		if err != nil {
			return nil, err
		}
	}
}

// wholeLines is the length of b up to and with its last end of line.
func wholeLines(b []byte) int {
	for i := len(b) - 1; i >= 0; i-- {
		if b[i] == '\n' || b[i] == '\r' {
			return i + 1
		}
	}
	return 0
}

// sum reads on to the end of the file and gives the SHA-256 of all of it.
func (s *stream) sum() (string, error) {
	for {
		s.data = nil
		err := s.more()
		if err == io.EOF {
			break
		}
		if err != nil {
			return "", err
		}
	}
	<-s.ended
	return hex.EncodeToString(s.hash[:]), nil
}
