package iccprofile

import (
	"encoding/binary"
	"maps"
	"slices"

	"setshade/internal/spectrum"
)

// PCSWhite is D50, the white of the profile connection space (7.2.16).
var PCSWhite = spectrum.XYZ{X: 0.9642, Y: 1, Z: 0.8249}

// New builds a profile of version 4 from the bodies of its tags: header, table of tags,
// tags, each at a multiple of four bytes (section 7). The kind is a signature of four
// letters, "RGB " or "GRAY".
func New(kind string, tags map[string][]byte) []byte {
	const header = 128
	b := make([]byte, header)
	copy(b[8:], []byte{4, 0x40})
	copy(b[12:], "mntr"+kind+"XYZ ")
	copy(b[36:], "acsp")
	copy(b[68:], fixed("", PCSWhite.X, PCSWhite.Y, PCSWhite.Z))
	b = binary.BigEndian.AppendUint32(b, uint32(len(tags)))
	at := len(b) + 12*len(tags)
	var bodies []byte
	for _, signature := range slices.Sorted(maps.Keys(tags)) {
		b = append(b, signature...)
		b = binary.BigEndian.AppendUint32(b, uint32(at+len(bodies)))
		b = binary.BigEndian.AppendUint32(b, uint32(len(tags[signature])))
		bodies = append(bodies, tags[signature]...)
		for len(bodies)%4 != 0 {
			bodies = append(bodies, 0)
		}
	}
	b = append(b, bodies...)
	binary.BigEndian.PutUint32(b, uint32(len(b)))
	return b
}
