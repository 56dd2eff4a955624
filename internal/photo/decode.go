package photo

import (
	"bytes"
	"errors"
	"image"
	_ "image/jpeg" // the two formats read here
	_ "image/png"
	"io"
)

// Limits on what is unpacked, checked on the file's size and its header.
const (
	maxBytes      = 64 << 20
	maxMegapixels = 100
	minSidePx     = 200
)

// decode unpacks a JPEG or PNG within the limits.
func decode(data []byte) (image.Image, error) {
	const send = "choose the JPEG or PNG file as the camera wrote it"
	if len(data) == 0 {
		return nil, refuse(send, "the file is empty")
	}
	if len(data) > maxBytes {
		return nil, refuse("save it as JPEG", "the file has %d MB, more than the %d MB read here",
			len(data)>>20, maxBytes>>20)
	}
	header, _, err := image.DecodeConfig(bytes.NewReader(data))
	if err != nil {
		return nil, undecodable(data, err, send)
	}
	if px := float64(header.Width) * float64(header.Height); px > maxMegapixels*1e6 {
		return nil, refuse("save it smaller, 12 megapixels are plenty",
			"the picture has %.0f megapixels, more than the %d read here", px/1e6, maxMegapixels)
	}
	if min(header.Width, header.Height) < minSidePx {
		return nil, refuse("take it at the camera's full size",
			"the picture has only %d x %d pixels, too few to read drops from", header.Width, header.Height)
	}
	img, _, err := image.Decode(bytes.NewReader(data))
	if err != nil {
		return nil, undecodable(data, err, send)
	}
	return img, nil
}

func undecodable(data []byte, err error, advice string) *Refusal {
	r := refuse(advice, "the file is damaged and cannot be decoded")
	switch {
	case errors.Is(err, image.ErrFormat):
		r = refuse(advice, "the file is not a JPEG or PNG picture")
	case errors.Is(err, io.ErrUnexpectedEOF), errors.Is(err, io.EOF), cutShort(data):
		r = refuse("copy it from the camera again", "the file breaks off before the picture is complete")
	}
	r.err = err
	return r
}

// cutShort reports whether a JPEG lacks the marker at its end (EOI, ITU-T T.81
// table B.1), for which the decoder has several words.
func cutShort(data []byte) bool {
	const startOfImage, endOfImage = "\xff\xd8", "\xff\xd9"
	return bytes.HasPrefix(data, []byte(startOfImage)) &&
		!bytes.HasSuffix(bytes.TrimRight(data, "\x00"), []byte(endOfImage))
}
