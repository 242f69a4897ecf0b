//go:build unix

package scanfile

import (
	"net"
	"path/filepath"
	"syscall"
	"testing"

	"github.com/stretchr/testify/require"
)

// TestPipe holds that a named pipe without a writer is refused and does not
// hold the reader up.
func TestPipe(t *testing.T) {
	path := filepath.Join(t.TempDir(), "pipe.stl")
	require.NoError(t, syscall.Mkfifo(path, 0o600))
	refuses(t, path, "pipe.stl: is a named pipe, not a file; name the scan file itself", nil)
}

// TestSocket holds the same of a socket.
func TestSocket(t *testing.T) {
	path := filepath.Join(t.TempDir(), "s.stl")
	l, err := net.Listen("unix", path)
	if err != nil {
		t.Skip("no sockets here:", err)
	}
	defer l.Close()
	refuses(t, path, "s.stl: is a socket, not a file; name the scan file itself", nil)
}
