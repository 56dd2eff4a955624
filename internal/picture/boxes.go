package picture

import (
	"encoding/binary"
	"iter"
)

// boxes walks the boxes that a file or a box of the ISO base media file format
// is made of: a size, four letters and a body (ISO/IEC 14496-12:2022, 4.2.2). It
// ends at the first that reaches beyond the data.
func boxes(data []byte) iter.Seq2[string, []byte] {
	return func(yield func(string, []byte) bool) {
		for len(data) >= 8 {
			size, header := uint64(binary.BigEndian.Uint32(data)), uint64(8)
			switch {
			case size == 0: // to the end
				size = uint64(len(data))
			case size == 1 && len(data) >= 16:
				size, header = binary.BigEndian.Uint64(data[8:]), 16
			}
			if size < header || size > uint64(len(data)) || !yield(string(data[4:8]), data[header:size]) {
				return
			}
			data = data[size:]
		}
	}
}

// box returns the body of the first box of a kind, nil when there is none.
func box(data []byte, kind string) []byte {
	for k, body := range boxes(data) {
		if k == kind {
			return body
		}
	}
	return nil
}

// property is one property of the items in a picture file, such as its size.
type property struct {
	kind string
	body []byte
}

// primaryItem reads a PrimaryItemBox (8.11.4).
func primaryItem(body []byte) (uint32, bool) {
	switch {
	case len(body) >= 6 && body[0] == 0:
		return uint32(binary.BigEndian.Uint16(body[4:])), true
	case len(body) >= 8 && body[0] != 0:
		return binary.BigEndian.Uint32(body[4:]), true
	}
	return 0, false
}

// byteReader reads big-endian numbers, zeros behind the end.
type byteReader struct {
	data  []byte
	ended bool
}

func (r *byteReader) uint(n int) (v uint32) {
	if len(r.data) < n {
		r.data, r.ended = nil, true
		return 0
	}
	for _, b := range r.data[:n] {
		v = v<<8 | uint32(b)
	}
	r.data = r.data[n:]
	return v
}

// wide reads a number of up to eight bytes.
func (r *byteReader) wide(n int) (v uint64) {
	for ; n > 4; n -= 4 {
		v = v<<32 | uint64(r.uint(4))
	}
	return v<<(8*n) | uint64(r.uint(n))
}
