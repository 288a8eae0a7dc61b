package model

import "testing"

func TestNamesPhoto(t *testing.T) {
	for _, c := range []struct {
		name, file string
		want       bool
	}{
		{"b7.jpg", "b7.jpg", true}, {"b7.jpg", "B7.JPG", true}, {"B7.jpg", "b7.JPG", true}, {"b7.jpg", "b71.jpg", false},
		{"b7*.jpg", "B7-rod.JPG", true}, {"B7*.JPG", "b7.jpg", true}, {"b7*.jpg", "b8.jpg", false}, {"b7*", "b7", true}, {"b*7*.jpg", "b-7-a.jpg", true},
		{"b7 [1].jpg", "B7 [1].jpg", true}, {"b7 [.jpg", "b7 (.jpg", false}, {"é*.png", "É1.PNG", true}, {"", "b7.jpg", false},
	} {
		if got := NamesPhoto(c.name, c.file); got != c.want {
			t.Errorf("%q names %q: %v", c.name, c.file, got)
		}
	}
	e := Entry{Photos: []string{"a.jpg", "b7*.jpg"}}
	if !e.NamesPhoto("A.JPG") || !e.NamesPhoto("B7x.jpg") || e.NamesPhoto("c.jpg") {
		t.Error("a row names what one of its names means, and nothing else")
	}
}
