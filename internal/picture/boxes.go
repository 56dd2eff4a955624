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

// heifProperties returns the properties of the primary item, and all there are
// (ISO/IEC 23008-12:2022, 9.3; ISO/IEC 14496-12:2022, 8.11).
func heifProperties(data []byte) (primary, all []property) {
	const fullBox = 4 // version and flags
	meta := box(data, "meta")
	if len(meta) < fullBox {
		return nil, nil
	}
	meta = meta[fullBox:]
	container := box(meta, "iprp")
	for kind, body := range boxes(box(container, "ipco")) {
		all = append(all, property{kind, body})
	}
	item, ok := primaryItem(box(meta, "pitm"))
	if !ok {
		return nil, all
	}
	for kind, body := range boxes(container) {
		if kind != "ipma" {
			continue
		}
		for _, i := range propertiesOf(item, body) {
			if i >= 1 && i <= len(all) {
				primary = append(primary, all[i-1])
			}
		}
	}
	return primary, all
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

// propertiesOf reads the numbers of an item's properties, from 1, out of an
// ItemPropertyAssociationBox (ISO/IEC 23008-12:2022, 9.3.1). The top bit of each
// says only whether a reader must know the property.
func propertiesOf(item uint32, body []byte) []int {
	r := byteReader{data: body}
	version, wide := r.uint(1), r.uint(3)&1 == 1
	idBytes, indexBytes := 2, 1
	if version >= 1 {
		idBytes = 4
	}
	if wide {
		indexBytes = 2
	}
	essential := uint32(1) << (8*indexBytes - 1)
	var found []int
	for range r.uint(4) {
		id, n := r.uint(idBytes), r.uint(1)
		for range n {
			index := r.uint(indexBytes) &^ essential
			if id == item {
				found = append(found, int(index))
			}
		}
		if r.ended {
			return nil
		}
	}
	return found
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
