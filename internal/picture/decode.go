package picture

import (
	"bytes"
	"errors"
	"image"
	"image/color"
	"io"

	"golang.org/x/image/tiff"
)

// MaxBytes is the largest file that Open takes.
const MaxBytes = 64 << 20

// Limits on what is unpacked, checked on the file's header.
const (
	maxMegapixels = 100
	minSidePx     = 200
	// maxUnpackedBytes may be taken to unpack a picture, beside its file.
	maxUnpackedBytes = 600e6
)

// format is a kind of picture file.
type format struct {
	matches func(data []byte) bool
	// config reads the header alone, decode the whole file.
	config func(io.Reader) (image.Config, error)
	decode func(io.Reader) (image.Image, error)
	// need is how many bytes of memory decode takes.
	need func(data []byte, header image.Config) float64
	// describe adds what the file says beside its pixels.
	describe func(m *metadata, data []byte)
	// cut reports whether the end of the file is missing; nil when only the
	// decoder can tell.
	cut func(data []byte) bool
}

func hasPrefix(signature string) func([]byte) bool {
	return func(data []byte) bool { return bytes.HasPrefix(data, []byte(signature)) }
}

// formatOf returns nil for a file of no kind that is read here.
func formatOf(data []byte) *format {
	for _, f := range []*format{&jpegFormat, &pngFormat, &tiffFormat, &heicFormat} {
		if f.matches(data) {
			return f
		}
	}
	return nil
}

// metadataOf returns what the file says beside its pixels.
func metadataOf(data []byte) metadata {
	m := metadata{orientation: 1, hdr: hasGainMap(data)}
	if f := formatOf(data); f != nil {
		f.describe(&m, data)
	}
	return m
}

const sendOriginal = "choose the picture as the camera wrote it, or save it as JPEG"

// decode unpacks a picture within the limits.
func decode(data []byte) (image.Image, error) {
	if len(data) == 0 {
		return nil, Refuse(sendOriginal, "the file is empty")
	}
	if len(data) > MaxBytes {
		return nil, Refuse("save it as JPEG", "the file has %d MB, more than the %d MB read here",
			len(data)>>20, MaxBytes>>20)
	}
	f := formatOf(data)
	if f == nil {
		return nil, Refuse(sendOriginal, "the file is not a JPEG, PNG, TIFF or HEIC picture")
	}
	header, err := f.config(bytes.NewReader(data))
	if err != nil {
		return nil, undecodable(f, data, err)
	}
	if refusal := checkHeader(header); refusal != nil {
		return nil, refusal
	}
	if need := f.need(data, header); need > maxUnpackedBytes {
		return nil, Refuse("save it as a JPEG of 12 megapixels, which are plenty",
			"to unpack the picture takes %.0f MB of memory, more than the %.0f MB given here", need/1e6, maxUnpackedBytes/1e6)
	}
	img, err := f.decode(bytes.NewReader(data))
	if err != nil {
		return nil, undecodable(f, data, err)
	}
	// The picture may be another than the header promised.
	size := img.Bounds().Size()
	if refusal := checkHeader(image.Config{ColorModel: img.ColorModel(), Width: size.X, Height: size.Y}); refusal != nil {
		return nil, refusal
	}
	if isSeeThrough(img) {
		return nil, Refuse("choose the picture as the camera wrote it, with nothing cut out or faded", "parts of the picture are see-through, so that its colours are not those the camera saw")
	}
	return img, nil
}

// pixelBytes are the bytes in which the decoders keep pixels.
func pixelBytes(header image.Config) float64 {
	pixels := float64(header.Width) * float64(header.Height)
	switch header.ColorModel {
	case color.RGBA64Model, color.NRGBA64Model:
		return 8 * pixels
	}
	return 4 * pixels
}

// isSeeThrough reports whether any pixel lets through what lies behind the picture.
func isSeeThrough(img image.Image) bool {
	layer, ok := img.(interface{ Opaque() bool })
	return ok && !layer.Opaque()
}

// checkHeader refuses pictures of the wrong size, and those without red, green
// and blue.
func checkHeader(header image.Config) *Refusal {
	if px := float64(header.Width) * float64(header.Height); px > maxMegapixels*1e6 {
		return Refuse("save it smaller, 12 megapixels are plenty",
			"the picture has %.0f megapixels, more than the %d read here", px/1e6, maxMegapixels)
	}
	if min(header.Width, header.Height) < minSidePx {
		return Refuse("take it at the camera's full size",
			"the picture has only %d x %d pixels, too few to read drops from", header.Width, header.Height)
	}
	switch header.ColorModel {
	case color.GrayModel, color.Gray16Model:
		return Refuse("take it in colour", "the picture is black and white")
	case color.CMYKModel:
		return Refuse("save it as JPEG in RGB", "the picture is made of printing inks (CMYK), not of light")
	}
	return nil
}

func undecodable(f *format, data []byte, err error) *Refusal {
	var refusal *Refusal
	var kind tiff.UnsupportedError
	r := Refuse(sendOriginal, "the file is damaged and cannot be decoded")
	switch {
	case errors.As(err, &refusal):
		return refusal
	case errors.As(err, &kind):
		r = Refuse("save it as JPEG, or as TIFF in RGB", "the file is a kind of TIFF that is not read here (%s)", string(kind))
	case errors.Is(err, io.ErrUnexpectedEOF), errors.Is(err, io.EOF), f.cut != nil && f.cut(data):
		r = Refuse("copy it from the camera again", "the file breaks off before the picture is complete")
	}
	r.Cause = err
	return r
}
