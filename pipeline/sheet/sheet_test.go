package sheet

import (
	"archive/zip"
	"bytes"
	"encoding/csv"
	"io"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"
)

func sample() []Table {
	return []Table{
		{Name: "Cut list", Columns: []Column{{"Mark", 0}, {"Cut length [mm]", 1}, {"Quantity", 0}},
			Rows: [][]Cell{{Text("A1"), Number(4114.84), Count(2)}, {Text("=1+1"), Number(-0.04), Cell{}}, {Text(`13'-6 3/4"`), Number(0.25), Count(0)}}},
		{Name: "Notes", Columns: []Column{{"Note", 0}}},
	}
}

func TestCSV(t *testing.T) {
	data, err := CSV(sample()[0])
	require.NoError(t, err)
	assert.Equal(t, "Mark,Cut length [mm],Quantity\r\nA1,4114.8,2\r\n'=1+1,0,\r\n\"13'-6 3/4\"\"\",0.2,0\r\n", string(data))
	rows, err := csv.NewReader(bytes.NewReader(data)).ReadAll()
	require.NoError(t, err)
	assert.Len(t, rows, 4)
}

func TestXLSXHoldsNumbersAndText(t *testing.T) {
	data, err := XLSX("Tide Clock", sample())
	require.NoError(t, err)
	f, err := excelize.OpenReader(bytes.NewReader(data))
	require.NoError(t, err)
	defer f.Close()
	assert.Equal(t, []string{"Cut list", "Notes"}, f.GetSheetList())
	kind, err := f.GetCellType("Cut list", "B2")
	require.NoError(t, err)
	assert.Contains(t, []excelize.CellType{excelize.CellTypeNumber, excelize.CellTypeUnset}, kind, "unset is the number of the format")
	raw, err := f.GetCellValue("Cut list", "B2", excelize.Options{RawCellValue: true})
	require.NoError(t, err)
	assert.Equal(t, "4114.8", raw)
	text, err := f.GetCellValue("Cut list", "A3")
	require.NoError(t, err)
	assert.Equal(t, "'=1+1", text, "no text starts as a formula does")
}

func TestXLSXIsTheSameEveryTime(t *testing.T) {
	a, err := XLSX("x", sample())
	require.NoError(t, err)
	for range 5 {
		b, err := XLSX("x", sample())
		require.NoError(t, err)
		require.True(t, bytes.Equal(a, b))
	}
	z, err := zip.NewReader(bytes.NewReader(a), int64(len(a)))
	require.NoError(t, err)
	for _, f := range z.File {
		r, err := f.Open()
		require.NoError(t, err)
		_, err = io.ReadAll(r)
		require.NoError(t, err, f.Name)
	}
}

func TestBadTablesAreRefused(t *testing.T) {
	one := []Column{{"Mass [kg]", 1}}
	for part, tables := range map[string][]Table{
		"no table":               {},
		"the name is not":        {{Name: "a/b", Columns: one}},
		"1 to 31 characters":     {{Name: strings.Repeat("x", 32), Columns: one}},
		"0 columns":              {{Name: "a"}},
		"row 1: 2 cells under 1": {{Name: "a", Columns: one, Rows: [][]Cell{{Text("a"), Text("b")}}}},
		`row 2: column "Mass [kg]": the number is NaN`: {{Name: "a", Columns: one, Rows: [][]Cell{{Number(1)}, {Number(math.NaN())}}}},
		"two tables have this name":                    {{Name: "a", Columns: one}, {Name: "A", Columns: one}},
	} {
		_, err := XLSX("x", tables)
		require.Error(t, err, part)
		assert.Contains(t, err.Error(), part)
	}
}

// A cell of Office Open XML holds 32,767 characters and no control characters.
func TestTextThatACellCannotHold(t *testing.T) {
	_, err := XLSX("x\x00", []Table{{Name: "a", Columns: []Column{{"h\x01", 0}}, Rows: [][]Cell{{Text(strings.Repeat("é", 40000))}, {Text("a\x00\xffb")}}}})
	require.NoError(t, err)
	assert.Equal(t, "a  b", clean("a\x00\xffb"))
	assert.Equal(t, "-", clean("-"))
	assert.Equal(t, "'-1", clean("-1"))
}
