package scanfile

import (
	"context"
	"io/fs"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

// TestNotAFile holds what is refused before a byte is read, by each of the
// three that take a path.
func TestNotAFile(t *testing.T) {
	dir := t.TempDir()
	empty := filepath.Join(dir, "empty.stl")
	require.NoError(t, os.WriteFile(empty, nil, 0o600))
	require.NoError(t, os.Symlink(dir, filepath.Join(dir, "link.stl")))
	require.NoError(t, os.Symlink(filepath.Join(dir, "gone"), filepath.Join(dir, "dangling.stl")))
	for _, c := range []struct {
		path, want string
		is         error
	}{
		{filepath.Join(dir, "absent.stl"), "absent.stl: there is no such file; check the name and the folder", fs.ErrNotExist},
		{filepath.Join(dir, "dangling.stl"), "dangling.stl: there is no such file; check the name and the folder", fs.ErrNotExist},
		{filepath.Join(empty, "x.stl"), "x.stl: cannot be read: not a directory; copy the file to this machine and try again", nil},
		{dir, filepath.Base(dir) + ": is a folder, not a file; name the scan file itself", nil},
		{filepath.Join(dir, "link.stl"), "link.stl: is a folder, not a file; name the scan file itself", nil},
		{empty, "empty.stl: the file is empty (0 bytes); export the scan again", nil},
		{os.DevNull, filepath.Base(os.DevNull) + ": is a device, not a file; name the scan file itself", nil},
	} {
		refuses(t, c.path, c.want, c.is)
	}
}

// refuses checks that nothing reads the path.
func refuses(t *testing.T, path, want string, is error) {
	t.Helper()
	_, err := Read(context.Background(), path, nil)
	require.EqualError(t, err, want)
	_, errCloud := ReadCloud(context.Background(), path)
	require.EqualError(t, errCloud, want)
	_, errKind := Sniff(path)
	require.EqualError(t, errKind, want)
	if is != nil {
		require.ErrorIs(t, err, is)
	}
	var e *Error
	require.ErrorAs(t, err, &e)
}

// TestNoPermission needs a user whom permissions bind.
func TestNoPermission(t *testing.T) {
	if os.Geteuid() <= 0 {
		t.Skip("permissions do not bind this user")
	}
	path := filepath.Join(t.TempDir(), "locked.stl")
	require.NoError(t, os.WriteFile(path, []byte("solid"), 0o200))
	refuses(t, path, "locked.stl: no permission to read it; change its permissions or copy it", fs.ErrPermission)
}

// TestSniff tells kinds by content alone.
func TestSniff(t *testing.T) {
	for name, c := range map[string]struct {
		data string
		want Kind
		mesh bool
	}{
		"binary.xyz": {string(binaryOf("solid", tetrahedron)), STLBinary, true},
		"text.ply":   {textOf("t", tetrahedron), STLASCII, true},
		"mesh.stl":   {plyOf(4, 4, plyText), PLYMesh, true},
		"bytes.stl":  {string(plyBinary()), PLYMesh, true},
		"cloud.stl":  {plyOf(4, 0, plyText[:25]), PLYCloud, false},
		"points.stl": {"# a scan\n\n1 2 3\n", XYZ, false},
		"one.stl":    {"1,2,3,0,0,1", XYZ, false},
	} {
		path := filepath.Join(t.TempDir(), name)
		require.NoError(t, os.WriteFile(path, []byte(c.data), 0o600))
		k, err := Sniff(path)
		require.NoError(t, err, name)
		require.Equal(t, c.want, k, name)
		require.Equal(t, c.mesh, k.IsMesh(), name)
	}
	path := filepath.Join(t.TempDir(), "prose.stl")
	require.NoError(t, os.WriteFile(path, []byte("to whom it may concern"), 0o600))
	_, err := Sniff(path)
	require.ErrorContains(t, err, "prose.stl: is text, but starts neither with solid nor ply nor a point")
}
