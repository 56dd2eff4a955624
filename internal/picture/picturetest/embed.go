package picturetest

import (
	"bytes"
	"compress/zlib"
	"encoding/binary"
	"hash/crc32"
	"slices"
)

// WithProfile embeds a profile the way each format has it: in JPEG in segments of
// at most the given size.
func WithProfile(file, icc []byte, most int) []byte {
	if bytes.HasPrefix(file, []byte("\x89PNG\r\n\x1a\n")) {
		var packed bytes.Buffer
		packer := zlib.NewWriter(&packed)
		packer.Write(icc)
		packer.Close()
		const header = 8 + 25
		return slices.Concat(file[:header], Chunk("iCCP", append([]byte("P3\x00\x00"), packed.Bytes()...)), file[header:])
	}
	chunks := slices.Collect(slices.Chunk(icc, most))
	out := slices.Clone(file[:2])
	for i, c := range slices.Backward(chunks) { // in any order
		head := append([]byte("ICC_PROFILE\x00"), byte(i+1), byte(len(chunks)))
		out = append(out, Segment(0xe2, append(head, c...))...)
	}
	return append(out, file[2:]...)
}

// WithEXIF puts the tag into a PNG, behind its header, or into a JPEG.
func WithEXIF(file []byte, orientation int) []byte {
	if bytes.HasPrefix(file, []byte("\xff\xd8")) {
		body := append([]byte("Exif\x00\x00"), EXIF(binary.LittleEndian, orientation)...)
		return slices.Concat(file[:2], Segment(0xe1, body), file[2:])
	}
	const header = 8 + 25
	return slices.Concat(file[:header], Chunk("eXIf", EXIF(binary.BigEndian, orientation)), file[header:])
}

// EXIF is the shortest EXIF: a header and a directory of one entry.
func EXIF(order binary.AppendByteOrder, orientation int) []byte {
	mark := "MM"
	if order == binary.AppendByteOrder(binary.LittleEndian) {
		mark = "II"
	}
	b := []byte(mark)
	b = order.AppendUint16(b, 42)
	b = order.AppendUint32(b, 8)
	b = order.AppendUint16(b, 1)
	b = order.AppendUint16(b, 0x0112)
	b = order.AppendUint16(b, 3)
	b = order.AppendUint32(b, 1)
	b = order.AppendUint16(b, uint16(orientation))
	return append(b, 0, 0, 0, 0, 0, 0)
}

// Segment is a marker segment of a JPEG (ITU-T T.81, B.1.1.4).
func Segment(marker byte, body []byte) []byte {
	return append(binary.BigEndian.AppendUint16([]byte{0xff, marker}, uint16(2+len(body))), body...)
}

// Chunk is a chunk of a PNG (PNG, third edition, 5.3).
func Chunk(kind string, body []byte) []byte {
	b := binary.BigEndian.AppendUint32(nil, uint32(len(body)))
	b = append(append(b, kind...), body...)
	return binary.BigEndian.AppendUint32(b, crc32.ChecksumIEEE(b[4:]))
}
