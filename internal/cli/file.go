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

	"github.com/spf13/cobra"
)

// mostPhotoBytes is what is read of a photograph; package photo reads no more.
const mostPhotoBytes = 64 << 20

// readFile reads a whole file of at most so many bytes. The noun says in errors
// what it is.
func readFile(noun, path string, most int64) ([]byte, error) {
	f, err := os.Open(path)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, fmt.Errorf("the %s %s is not there; check its name and folder", noun, path)
	}
	if err != nil {
		return nil, fmt.Errorf("the %s %s cannot be opened: %w", noun, path, cause(err))
	}
	defer f.Close()
	info, err := f.Stat()
	switch {
	case err != nil:
		return nil, fmt.Errorf("the %s %s cannot be opened: %w", noun, path, cause(err))
	case info.IsDir():
		return nil, fmt.Errorf("%s is a folder; name the file of the %s", path, noun)
	case !info.Mode().IsRegular():
		return nil, fmt.Errorf("%s is not a file; name the file of the %s", path, noun)
	}
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

// checkPicture refuses a name for a picture that is no PNG, or is one of the
// files it is made from.
func checkPicture(cmd *cobra.Command, flag, path string, sources ...string) error {
	if path == "" {
		return nil
	}
	if !strings.EqualFold(filepath.Ext(path), ".png") {
		return &usageError{fmt.Sprintf("--%s writes a PNG; give its file a name that ends in .png", flag), helpOf(cmd)}
	}
	for _, source := range sources {
		there, err1 := os.Stat(path)
		from, err2 := os.Stat(source)
		if err1 == nil && err2 == nil && os.SameFile(there, from) {
			return &usageError{fmt.Sprintf("--%s would write over the photograph %s; give it another name", flag, source), helpOf(cmd)}
		}
	}
	return nil
}

// pictureFile is a PNG in the making: it stands under its name once it is
// complete, and not before.
type pictureFile struct {
	path string
	part *os.File
}

// newPictureFile makes sure that the picture can be written before any work is
// done for it.
func newPictureFile(path string) (*pictureFile, error) {
	folder, name := filepath.Split(path)
	part, err := os.OpenFile(filepath.Join(folder, fmt.Sprintf(".%s.%d.part", name, os.Getpid())), os.O_CREATE|os.O_EXCL|os.O_WRONLY, 0o666)
	if err != nil {
		return nil, fmt.Errorf("the picture %s cannot be written: %w; choose another place", path, cause(err))
	}
	return &pictureFile{path, part}, nil
}

// write puts the picture in its place.
func (p *pictureFile) write(picture image.Image) error {
	err := png.Encode(p.part, picture)
	err = errors.Join(err, p.part.Close())
	if err == nil {
		err = os.Rename(p.part.Name(), p.path)
	}
	if err != nil {
		return fmt.Errorf("the picture %s cannot be written: %w", p.path, cause(err))
	}
	return nil
}

// discard leaves nothing behind of a picture that was not written.
func (p *pictureFile) discard() {
	p.part.Close()
	os.Remove(p.part.Name())
}

// writePNG puts a picture in its place, whole or not at all.
func writePNG(path string, picture image.Image) error {
	p, err := newPictureFile(path)
	if err != nil {
		return err
	}
	defer p.discard()
	return p.write(picture)
}
