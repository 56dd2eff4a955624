package picture

import (
	"encoding/binary"
	"slices"
)

// isoBox is a box of ISO/IEC 14496-12.
func isoBox(kind string, bodies ...[]byte) []byte {
	body := slices.Concat(bodies...)
	return append(append(binary.BigEndian.AppendUint32(nil, uint32(8+len(body))), kind...), body...)
}

func nclx(primaries, transfer, matrix uint16, full bool) []byte {
	b := []byte("nclx")
	for _, v := range []uint16{primaries, transfer, matrix} {
		b = binary.BigEndian.AppendUint16(b, v)
	}
	if full {
		return isoBox("colr", append(b, 0x80))
	}
	return isoBox("colr", append(b, 0))
}

func ispe(w, h uint32) []byte {
	b := binary.BigEndian.AppendUint32(make([]byte, 4), w)
	return isoBox("ispe", binary.BigEndian.AppendUint32(b, h))
}

// heifBoxes are the boxes of a HEIC file without its picture: item 7 is the main
// one, item 3 a small one with a property of its own in front.
func heifBoxes(icc []byte, more ...[]byte) []byte {
	properties := [][]byte{ispe(160, 120), nclx(9, 16, 6, true), ispe(660, 480)}
	if icc != nil {
		properties = append(properties, isoBox("colr", []byte("prof"), icc))
	}
	properties = append(properties, more...)
	associations := []byte{0, 0, 0, 0, 0, 0, 0, 2, 0, 3, 2, 1, 0x82, 0, 7, byte(len(properties) - 2)}
	for i := 3; i <= len(properties); i++ {
		associations = append(associations, byte(i))
	}
	return slices.Concat(
		isoBox("ftyp", []byte("heic\x00\x00\x00\x00mif1heic")),
		isoBox("meta", make([]byte, 4),
			isoBox("pitm", []byte{0, 0, 0, 0, 0, 7}),
			isoBox("iprp", isoBox("ipco", properties...), isoBox("ipma", associations))),
		isoBox("mdat", []byte("none")),
	)
}
