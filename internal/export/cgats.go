package export

import (
	"bufio"
	"bytes"
	"errors"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"

	"setshade/internal/spectrum"
	"setshade/internal/wax"
)

// Sample is one set of a CGATS.17 file: a colour under its name.
type Sample struct {
	ID, Name string
	Lab      spectrum.Lab
}

// The keywords and fields used here, as ANSI CGATS.17 (later ISO 28178) names
// them; from memory.
const (
	fieldID, fieldName              = "SAMPLE_ID", "SAMPLE_NAME"
	fieldL, fieldA, fieldB          = "LAB_L", "LAB_A", "LAB_B"
	fieldStdL, fieldStdA, fieldStdB = "STDEV_L", "STDEV_A", "STDEV_B"
)

// WriteCGATS writes swatches as CGATS.17 text: L*a*b* (D65, 2°) and the standard
// deviation of each, under their numbers.
func WriteCGATS(swatches []wax.Swatch) []byte {
	fields := []string{fieldID, fieldName, fieldL, fieldA, fieldB, fieldStdL, fieldStdA, fieldStdB}
	var out bytes.Buffer
	created := ""
	if last := len(swatches) - 1; last >= 0 {
		created = swatches[last].Photo.RecordedAt.UTC().Format("2006-01-02")
	}
	fmt.Fprintf(&out, "CGATS.17\nORIGINATOR\t\"setshade\"\nDESCRIPTOR\t\"Swatches of dyed wax, CIELAB, D65, 2 degree observer\"\nCREATED\t%q\nINSTRUMENTATION\t\"camera\"\n", created)
	fmt.Fprint(&out, "WEIGHTING_FUNCTION\t\"ILLUMINANT, D65\"\nWEIGHTING_FUNCTION\t\"OBSERVER, 2 degree\"\n")
	fmt.Fprintf(&out, "NUMBER_OF_FIELDS\t%d\nBEGIN_DATA_FORMAT\n%s\nEND_DATA_FORMAT\n", len(fields), strings.Join(fields, "\t"))
	fmt.Fprintf(&out, "NUMBER_OF_SETS\t%d\nBEGIN_DATA\n", len(swatches))
	for _, s := range swatches {
		name := strings.ReplaceAll(fmt.Sprintf("%s, %s, %s", s.Wax, s.Recipe, s.State), `"`, "'")
		fmt.Fprintf(&out, "%d\t\"%s\"", s.ID, name)
		for _, v := range []float64{
			s.Colour.Lab.L, s.Colour.Lab.A, s.Colour.Lab.B,
			math.Sqrt(s.Colour.Cov[0][0]), math.Sqrt(s.Colour.Cov[1][1]), math.Sqrt(s.Colour.Cov[2][2]),
		} {
			out.WriteString("\t" + strconv.FormatFloat(v, 'g', -1, 64))
		}
		out.WriteString("\n")
	}
	out.WriteString("END_DATA\n")
	return out.Bytes()
}

// ReadCGATS reads the L*a*b* of the sets of a CGATS.17 text with any fields, of
// which SAMPLE_ID, LAB_L, LAB_A and LAB_B must be among. Other keywords are
// passed over. Errors name the line.
func ReadCGATS(from io.Reader) ([]Sample, error) {
	lines := bufio.NewScanner(from)
	lines.Buffer(nil, maxFieldBytes)
	var r cgatsReader
	for number := 1; lines.Scan(); number++ {
		if err := r.line(number, lines.Text()); err != nil {
			return nil, fmt.Errorf("line %d: %w", number, err)
		}
	}
	if err := lines.Err(); err != nil {
		return nil, fmt.Errorf("a line is too long or cannot be read: %w", err)
	}
	if r.part != afterData {
		return nil, errors.New("the file ends before END_DATA")
	}
	return r.samples, nil
}

// cgatsReader reads line by line and knows in which part of the file it is.
type cgatsReader struct {
	part    cgatsPart
	fields  map[string]int
	width   int
	samples []Sample
}

type cgatsPart int

const (
	header cgatsPart = iota
	format
	afterFormat
	data
	afterData
)

func (r *cgatsReader) line(number int, text string) error {
	words, err := cgatsWords(text)
	if err != nil || len(words) == 0 {
		return err
	}
	if number == 1 && !strings.HasPrefix(words[0], "CGATS") {
		return fmt.Errorf("%.20q is not CGATS.17", words[0])
	}
	switch {
	case words[0] == "BEGIN_DATA_FORMAT" && r.part == header:
		r.part, r.fields = format, map[string]int{}
	case words[0] == "END_DATA_FORMAT" && r.part == format:
		r.part = afterFormat
		for _, name := range []string{fieldID, fieldL, fieldA, fieldB} {
			if _, there := r.fields[name]; !there {
				return fmt.Errorf("the data format has no field %s", name)
			}
		}
	case words[0] == "BEGIN_DATA" && r.part == afterFormat:
		r.part = data
	case words[0] == "END_DATA" && r.part == data:
		r.part = afterData
	case r.part == format:
		for _, name := range words {
			if _, twice := r.fields[name]; twice {
				return fmt.Errorf("the field %.40s is there twice", name)
			}
			r.fields[name] = r.width
			r.width++
		}
	case r.part == data:
		return r.set(words)
	case strings.HasPrefix(words[0], "BEGIN_") || strings.HasPrefix(words[0], "END_"):
		return fmt.Errorf("%.40s stands in the wrong place", words[0])
	}
	return nil
}

func (r *cgatsReader) set(words []string) error {
	if len(words) != r.width {
		return fmt.Errorf("the set has %d values for %d fields", len(words), r.width)
	}
	s := Sample{ID: words[r.fields[fieldID]]}
	if i, there := r.fields[fieldName]; there {
		s.Name = words[i]
	}
	for name, at := range map[string]*float64{fieldL: &s.Lab.L, fieldA: &s.Lab.A, fieldB: &s.Lab.B} {
		if err := number(at).read(words[r.fields[name]]); err != nil {
			return fmt.Errorf("%s: %w", name, err)
		}
	}
	r.samples = append(r.samples, s)
	return nil
}

// cgatsWords splits a line at blanks; a text in quotes is one word, and # begins
// a comment.
func cgatsWords(line string) ([]string, error) {
	var words []string
	for {
		line = strings.TrimLeft(line, " \t\r")
		switch {
		case line == "" || line[0] == '#':
			return words, nil
		case line[0] == '"':
			word, rest, closed := strings.Cut(line[1:], `"`)
			if !closed {
				return nil, errors.New("a quote is not closed")
			}
			words, line = append(words, word), rest
		default:
			end := strings.IndexAny(line, " \t\r")
			if end < 0 {
				end = len(line)
			}
			words, line = append(words, line[:end]), line[end:]
		}
	}
}
