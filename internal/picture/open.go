package picture

import (
	"image"
	"strings"
)

// File is a picture file as opened.
type File struct {
	// Picture is upright and averaged down to about a megapixel.
	Picture *Picture
	// WidthPx and HeightPx are the size of the upright picture in the file, before
	// any averaging.
	WidthPx, HeightPx int
	// Note says in plain words how the colours of the file were read, whether it was made
	// for bright screens, and whether it is at odds with itself on how it is turned; ""
	// when they are sRGB by the file's own word and it is neither.
	Note string
	// Lit is what the file says of the light.
	Lit Lit
}

// Open decodes a picture file, JPEG, PNG, TIFF or HEIC, into an upright picture
// in linear light. It gives a *Refusal for a file that is none of these, is damaged,
// or is larger or smaller than the limits; they are checked before a pixel is
// unpacked. A colour profile that is no use is no error: Note says so, and the file
// is read as sRGB.
func Open(data []byte) (File, error) {
	img, err := decode(data)
	if err != nil {
		return File{}, err
	}
	meta := metadataOf(data)
	space, note := meta.colours()
	for _, more := range []string{meta.turnNote(), meta.rangeNote()} {
		if more != "" {
			note = strings.TrimSuffix(more+"; "+note, "; ")
		}
	}
	p := FromImage(img, space)
	p.Code.lumaStep = meta.lumaStep
	p.Code.chromaStep = max(meta.chromaSteps[Cb], meta.chromaSteps[Cr])
	if coded, ok := img.(*image.YCbCr); ok && min(meta.chromaSteps[Cb], meta.chromaSteps[Cr]) > 0 {
		p.Chroma = keptChroma(coded, meta.chromaSteps)
	}
	p = p.upright(meta.orientation)
	f := File{Picture: p, WidthPx: img.Bounds().Dx(), HeightPx: img.Bounds().Dy(), Note: note, Lit: meta.lit}
	if meta.orientation >= 5 {
		f.WidthPx, f.HeightPx = f.HeightPx, f.WidthPx
	}
	return f, nil
}
