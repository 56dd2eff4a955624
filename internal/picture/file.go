package picture

// file is a picture file as opened.
type file struct {
	Picture *Picture
	// widthPx and heightPx are the size of the upright picture in the file, before
	// any averaging.
	WidthPx, HeightPx int
	// note says in plain words how the colours of the file were read; "" when they
	// are sRGB by the file's own word.
	Note string
}

// openFile decodes a picture file, JPEG, PNG, TIFF or HEIC, into an upright picture
// in linear light. It gives a *Refusal for a file that is none of these, is damaged,
// or is larger or smaller than the limits; they are checked before a pixel is
// unpacked.
func Open(data []byte) (file, error) {
	img, err := decode(data)
	if err != nil {
		return file{}, err
	}
	meta := metadataOf(data)
	space, note := meta.colours()
	p := FromImage(img, space).upright(meta.orientation)
	p.Code.chromaStep = meta.chromaStep
	f := file{Picture: p, WidthPx: img.Bounds().Dx(), HeightPx: img.Bounds().Dy(), Note: note}
	if meta.orientation >= 5 {
		f.WidthPx, f.HeightPx = f.HeightPx, f.WidthPx
	}
	return f, nil
}
