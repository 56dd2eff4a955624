package cli

import (
	"errors"
	"fmt"
	"image"
	"image/png"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"setshade/internal/durable"

	"github.com/spf13/cobra"
)

// readFile reads a whole file of at most so many bytes. The noun says in errors
// what it is.
func readFile(noun, path string, most int64) ([]byte, error) {
	info, err := os.Stat(path) // before it is opened, since a pipe would wait for ever
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil, fmt.Errorf("the %s %s is not there; check its name and folder", noun, path)
	case err != nil:
		return nil, fmt.Errorf("the %s %s cannot be opened: %w", noun, path, cause(err))
	case info.IsDir():
		return nil, fmt.Errorf("%s is a folder; name the file of the %s", path, noun)
	case !info.Mode().IsRegular():
		return nil, fmt.Errorf("%s is not a file; name the file of the %s", path, noun)
	}
	f, err := os.Open(path)
	if err != nil {
		return nil, fmt.Errorf("the %s %s cannot be opened: %w", noun, path, cause(err))
	}
	defer f.Close()
	// One byte more than allowed, in case the file grows meanwhile.
	bytes, err := io.ReadAll(io.LimitReader(f, most+1))
	if err != nil {
		return nil, fmt.Errorf("the %s %s cannot be read: %w", noun, path, cause(err))
	}
	if int64(len(bytes)) > most {
		return nil, fmt.Errorf("the %s %s has more than the %s read here; check that it is the right file", noun, path, sizeText(most))
	}
	return bytes, nil
}

func sizeText(bytes int64) string {
	if bytes >= 1<<20 {
		return fmt.Sprintf("%d MB", bytes>>20)
	}
	return fmt.Sprintf("%d KB", bytes>>10)
}

// cause is the system's word on a failed file, without the path that our own
// sentence has already.
func cause(err error) error {
	var path *fs.PathError
	if errors.As(err, &path) {
		return path.Err
	}
	return err
}

// checkEnding refuses a name for a file of which the ending says something else
// than what is written into it, such as "PNG". No name is no file.
func checkEnding(cmd *cobra.Command, flag, path, format string) error {
	ending := "." + strings.ToLower(format)
	if path == "" || strings.EqualFold(filepath.Ext(path), ending) {
		return nil
	}
	return &usageError{fmt.Sprintf("--%s writes a %s; give its file a name that ends in %s", flag, format, ending), helpOf(cmd)}
}

// replaceFlag adds the flag that lets a command write over a file.
func replaceFlag(cmd *cobra.Command) {
	cmd.Flags().Bool("replace", false, "write over a file that is there already")
}

// checkFree refuses a name under which there is a file already, unless it may be
// replaced. No name is no file.
func checkFree(cmd *cobra.Command, flag, path string) error {
	if may, err := cmd.Flags().GetBool("replace"); err == nil && may {
		return nil
	}
	if _, err := os.Lstat(path); path == "" || err != nil {
		return nil
	}
	return &usageError{fmt.Sprintf("--%s: %s is there already; give another name, or let it be replaced with --replace", flag, path), helpOf(cmd)}
}

// checkPicture refuses a name for a picture that is no PNG, is one of the files it
// is made from, or is taken.
func checkPicture(cmd *cobra.Command, flag, path string, sources ...string) error {
	if err := checkEnding(cmd, flag, path, "PNG"); err != nil {
		return err
	}
	for _, source := range sources {
		there, err1 := os.Stat(path)
		from, err2 := os.Stat(source)
		if err1 == nil && err2 == nil && os.SameFile(there, from) {
			return &usageError{fmt.Sprintf("--%s would write over the photograph %s; give it another name", flag, source), helpOf(cmd)}
		}
	}
	return checkFree(cmd, flag, path)
}

// wholeFile is a file in the making: it stands under its name once it is
// complete, and not before. The noun says in errors what it is.
type wholeFile struct {
	noun, path string
	part       *os.File
}

// newWholeFile makes sure that the file can be written before any work is done
// for it.
func newWholeFile(noun, path string) (*wholeFile, error) {
	if path == "" {
		return nil, fmt.Errorf("the file of the %s has no name; give it one", noun)
	}
	part, err := os.OpenFile(durable.Part(path), os.O_CREATE|os.O_EXCL|os.O_WRONLY, 0o666)
	if err != nil {
		return nil, fmt.Errorf("the %s %s cannot be written: %w; choose another place", noun, path, cause(err))
	}
	return &wholeFile{noun, path, part}, nil
}

// write fills the file and puts it in its place.
func (f *wholeFile) write(fill func(io.Writer) error) error {
	err := errors.Join(fill(f.part), f.part.Sync(), f.part.Close())
	if err == nil {
		err = durable.Rename(f.part.Name(), f.path)
	}
	if err != nil {
		return fmt.Errorf("the %s %s cannot be written: %w", f.noun, f.path, cause(err))
	}
	return nil
}

// discard leaves nothing behind of a file that was not written; nil is no file.
func (f *wholeFile) discard() {
	if f == nil {
		return
	}
	f.part.Close()
	os.Remove(f.part.Name())
}

// writeWhole writes a file whole or not at all.
func writeWhole(noun, path string, fill func(io.Writer) error) error {
	f, err := newWholeFile(noun, path)
	if err != nil {
		return err
	}
	defer f.discard()
	return f.write(fill)
}

// asPNG fills a file with a picture.
func asPNG(picture image.Image) func(io.Writer) error {
	return func(w io.Writer) error { return png.Encode(w, picture) }
}
