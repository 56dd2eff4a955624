package export

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"path"
	"slices"
	"strings"
	"text/tabwriter"

	"setshade/internal/store"
)

// The names of the files beside the tables.
const (
	columnsFile = "COLUMNS.txt"
	jsonFile    = "tables.json"
	cgatsFile   = "swatches.cgats.txt"
	photoFolder = "photos/"
	planFolder  = "plans/"
	missingFile = "MISSING.txt"
	modelFolder = "learned/"
)

// maxFileBytes is the largest file that is read.
const maxFileBytes = 1 << 28

// Write writes contents as the files of an export, in turn; photo fetches the
// bytes of a photograph by its hash. The same contents give the same bytes.
//
// A photograph for which photo fails with store.ErrLost is left out and returned, and
// named in MISSING.txt, so that one who opens the folder years later is told.
func Write(c store.Contents, photo func(sha256 string) ([]byte, error), file func(name string, content []byte) error) ([]store.Lost, error) {
	r := rowsOf(c)
	why := map[string]error{}
	tables := sheets(&r)
	for _, s := range tables {
		if err := file(s.name()+".csv", writeCSV(s)); err != nil {
			return nil, err
		}
	}
	for _, p := range c.Photos {
		content, err := photo(p.SHA256)
		switch {
		case errors.Is(err, store.ErrLost):
			why[p.SHA256] = err
		case err != nil:
			return nil, err
		default:
			if err := file(photoFile(p), content); err != nil {
				return nil, err
			}
		}
		if err := file(planFile(p), []byte(p.PlanText)); err != nil {
			return nil, err
		}
	}
	lost := c.Lost(why)
	if len(lost) > 0 {
		if err := file(missingFile, missingText(lost)); err != nil {
			return nil, err
		}
	}
	for _, l := range r.learned {
		if err := file(modelFolder+l.sha256, l.Model); err != nil {
			return nil, err
		}
	}
	for _, e := range r.earlier {
		if err := file(modelFolder+e.sha256, []byte(e.Contents)); err != nil {
			return nil, err
		}
	}
	if err := file(jsonFile, writeJSON(tables)); err != nil {
		return nil, err
	}
	if err := file(cgatsFile, WriteCGATS(c.Swatches)); err != nil {
		return nil, err
	}
	return lost, file(columnsFile, describe(tables))
}

// missingText lists the photographs that an export is without.
func missingText(lost []store.Lost) []byte {
	var out bytes.Buffer
	out.WriteString("These photographs were lost when this was exported, and are not in photos.\nWhat was read from them is in the tables. Found again, setshade record puts them back\ninto the store.\n\n")
	for _, l := range lost {
		fmt.Fprintf(&out, "%s: %s, SHA-256 %s\n", l.Of(), l.Name, l.SHA256)
	}
	return out.Bytes()
}

// describe lists every column with its meaning.
func describe(tables []sheet) []byte {
	var out bytes.Buffer
	fmt.Fprintf(&out, "An export of setshade, version %d. Each table is a CSV file and a list in %s.\n", formatVersion, jsonFile)
	w := tabwriter.NewWriter(&out, 0, 0, 2, ' ', 0)
	for _, s := range tables {
		fmt.Fprintf(w, "\n%s: %s\n", s.name(), s.about())
		names, means := s.header()
		for i := range names {
			fmt.Fprintf(w, "  %s\t%s\n", names[i], means[i])
		}
	}
	w.Flush()
	return out.Bytes()
}

// Read reads an export. Photographs are not read yet: Photo does so, one by one.
// What could not be kept in a store is refused when it is restored.
func Read(folder fs.FS) (store.Contents, error) {
	var r rows
	tables := sheets(&r)
	if err := readTables(folder, tables); err != nil {
		return store.Contents{}, err
	}
	c, err := r.contents()
	if err != nil {
		return store.Contents{}, err
	}
	for i := range c.Photos {
		plan, err := readFile(folder, nameIn(folder, planFolder, c.Photos[i].SHA256))
		if err != nil {
			return store.Contents{}, err
		}
		c.Photos[i].PlanText = string(plan)
	}
	for i, l := range r.learned {
		if c.Learned[i].Model, err = readFile(folder, modelFolder+l.sha256); err != nil {
			return store.Contents{}, err
		}
		if hashOf(c.Learned[i].Model) != l.sha256 {
			return store.Contents{}, fmt.Errorf("what was learned of %s, %s%s, has changed since it was exported; take it from another copy, or remove its line from the table learned and learn again", l.Wax, modelFolder, l.sha256)
		}
	}
	for _, e := range r.earlier {
		before, err := readFile(folder, modelFolder+e.sha256)
		if err != nil {
			return store.Contents{}, err
		}
		c.Earlier.Contents = string(before)
	}
	return c, agree(folder, c)
}

// Photo reads the photograph with a hash from an export.
func Photo(folder fs.FS, sha256 string) ([]byte, error) {
	return readFile(folder, nameIn(folder, photoFolder, sha256))
}

// photoFile names a photograph by its hash, with the ending that its own name has, so
// that a double click opens it.
func photoFile(p store.KeptPhoto) string {
	ending := strings.ToLower(path.Ext(p.Name))
	if !slices.Contains([]string{".jpg", ".jpeg", ".png", ".tif", ".tiff", ".heic", ".heif"}, ending) {
		ending = ""
	}
	return photoFolder + p.SHA256 + ending
}

func planFile(p store.KeptPhoto) string { return planFolder + p.SHA256 + ".plan" }

// nameIn finds a file by its hash, whatever its ending: exports once had none.
func nameIn(folder fs.FS, place, sha256 string) string {
	if found, err := fs.Glob(folder, place+sha256+".*"); err == nil && len(found) == 1 {
		return found[0]
	}
	return place + sha256
}

func readTables(folder fs.FS, tables []sheet) error {
	if _, err := fs.Stat(folder, tables[0].name()+".csv"); errors.Is(err, fs.ErrNotExist) {
		if content, err := readFile(folder, jsonFile); err == nil {
			return inFile(jsonFile, readJSON(tables, content))
		}
	}
	for _, s := range tables {
		name := s.name() + ".csv"
		content, err := readFile(folder, name)
		if errors.Is(err, fs.ErrNotExist) && later[s.name()] {
			continue
		}
		if err != nil {
			return err
		}
		if err := readCSV(s, bytes.NewReader(content)); err != nil {
			return inFile(name, err)
		}
	}
	return nil
}

// agree refuses a folder of which the colours in the CGATS file are others than
// those in the table: one of them was changed, and nobody can tell which.
func agree(folder fs.FS, c store.Contents) error {
	content, err := readFile(folder, cgatsFile)
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	if err != nil {
		return err
	}
	samples, err := ReadCGATS(bytes.NewReader(content))
	if err != nil {
		return inFile(cgatsFile, err)
	}
	same := len(samples) == len(c.Swatches)
	for i := 0; same && i < len(samples); i++ {
		same = samples[i].ID == fmt.Sprint(c.Swatches[i].ID) && samples[i].Lab == c.Swatches[i].Colour.Lab
	}
	if !same {
		return fmt.Errorf("%s has other colours than the table of swatches; remove the one that is wrong", cgatsFile)
	}
	return nil
}

func inFile(name string, err error) error {
	if err == nil {
		return nil
	}
	return fmt.Errorf("the file %s cannot be used: %w", name, err)
}

func readFile(folder fs.FS, name string) ([]byte, error) {
	if !fs.ValidPath(name) || strings.Count(name, "/") > 1 {
		return nil, fmt.Errorf("%.60q cannot name a file of an export", name)
	}
	if info, err := fs.Stat(folder, name); err == nil && !info.Mode().IsRegular() {
		return nil, fmt.Errorf("%s of the export is not a file; take it from another copy", name)
	}
	f, err := folder.Open(name)
	if err != nil {
		return nil, unread(name, err)
	}
	defer f.Close()
	content, err := io.ReadAll(io.LimitReader(f, maxFileBytes+1))
	if err != nil {
		return nil, unread(name, err)
	}
	if len(content) > maxFileBytes {
		return nil, fmt.Errorf("the file %s of the export has more than the %d MB read here", name, maxFileBytes>>20)
	}
	return content, nil
}

// unread leaves out the path that the system's word has in front: the sentence has it.
func unread(name string, err error) error {
	var path *fs.PathError
	if errors.As(err, &path) {
		err = path.Err
	}
	return fmt.Errorf("the file %s of the export cannot be read: %w", name, err)
}

func hashOf(content []byte) string {
	sum := sha256.Sum256(content)
	return hex.EncodeToString(sum[:])
}
