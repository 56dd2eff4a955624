package picturetest

import (
	"encoding/binary"
	"image"
)

// TIFF is a plain TIFF 6.0 of 8 bits, its samples in one strip behind the
// directory, with a profile (tag 34675 of ICC.1:2022, annex B.3) when there is
// one.
func TIFF(img *image.NRGBA, icc []byte, orientation int) []byte {
	const shortKind, longKind, opaqueKind = 3, 4, 7 // section 2
	le := binary.LittleEndian
	type field struct {
		tag, kind uint16
		values    []byte
		count     int
	}
	short := func(tag uint16, values ...uint16) field {
		f := field{tag, shortKind, nil, len(values)}
		for _, v := range values {
			f.values = le.AppendUint16(f.values, v)
		}
		return f
	}
	long := func(tag uint16, value int) field {
		return field{tag, longKind, le.AppendUint32(nil, uint32(value)), 1}
	}
	w, h := img.Rect.Dx(), img.Rect.Dy()
	fields := []field{
		long(256, w), long(257, h), short(258, 8, 8, 8), short(259, 1), short(262, 2),
		long(273, 0), short(274, uint16(orientation)), short(277, 3), long(278, h), long(279, 3*w*h),
	}
	if icc != nil {
		fields = append(fields, field{34675, opaqueKind, icc, len(icc)})
	}
	directory := 8 + 2 + 12*len(fields) + 4
	var outside []byte
	b := []byte("II*\x00\x08\x00\x00\x00")
	b = le.AppendUint16(b, uint16(len(fields)))
	strip := -1
	for _, f := range fields {
		b = le.AppendUint16(b, f.tag)
		b = le.AppendUint16(b, f.kind)
		b = le.AppendUint32(b, uint32(f.count))
		if f.tag == 273 {
			strip = len(b)
		}
		if len(f.values) > 4 {
			b = le.AppendUint32(b, uint32(directory+len(outside)))
			outside = append(outside, f.values...)
			continue
		}
		b = append(b, f.values...)
		b = append(b, make([]byte, 4-len(f.values))...)
	}
	b = append(append(b, 0, 0, 0, 0), outside...)
	le.PutUint32(b[strip:], uint32(len(b)))
	for i := 0; i < len(img.Pix); i += 4 {
		b = append(b, img.Pix[i:i+3]...)
	}
	return b
}
