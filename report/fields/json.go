package fields

import (
	"bytes"
	"encoding/json"

	"bayproof/report/screen"
)

type document struct {
	Job      *string           `json:"job"`
	Columns  []columnDocument  `json:"columns"`
	Settings []settingDocument `json:"settings"`
	Entries  []entryDocument   `json:"entries"`
	Codes    []codeDocument    `json:"codes"`
}

type columnDocument struct {
	File    string `json:"file"`
	Name    string `json:"name"`
	Unit    string `json:"unit"`
	Meaning string `json:"meaning"`
}

type settingDocument struct {
	Name    string  `json:"name"`
	Section *string `json:"section"`
	Default *string `json:"default"`
	Meaning string  `json:"meaning"`
	Value   *string `json:"value"`
	Source  *string `json:"source"`
}

type entryDocument struct {
	Name    string `json:"name"`
	Carries string `json:"carries"`
	Meaning string `json:"meaning"`
}

type codeDocument struct {
	Code       string  `json:"code"`
	Kind       string  `json:"kind"`
	Meaning    string  `json:"meaning"`
	AnsweredBy *string `json:"answered_by"`
	Innocent   *string `json:"innocent"`
	Data       string  `json:"data"`
	Source     string  `json:"source"`
}

// AppendJSON appends the manual as one indented document; what does not exist is null.
func (m Manual) AppendJSON(dst []byte) ([]byte, error) {
	var b bytes.Buffer
	enc := json.NewEncoder(&b)
	enc.SetEscapeHTML(false)
	enc.SetIndent("", "  ")
	err := enc.Encode(m.document())
	return append(dst, screen.JSON(b.Bytes())...), err
}

func (m Manual) document() document {
	var d document
	if m.Job != nil {
		d.Job = &m.Job.Name
	}
	for _, c := range m.Columns {
		d.Columns = append(d.Columns, columnDocument(c))
	}
	for _, s := range m.Settings {
		d.Settings = append(d.Settings, settingDocument{s.Name, orNull(s.Section), orNull(s.Default), s.Meaning, orNull(s.Value), orNull(s.Source)})
	}
	for _, e := range m.Entries {
		d.Entries = append(d.Entries, entryDocument(e))
	}
	for _, c := range m.Codes {
		d.Codes = append(d.Codes, codeDocument{string(c.Code), string(c.Kind), c.Means, orNull(c.Answers), orNull(c.Innocent), c.Data, c.Source})
	}
	return d
}

// orNull is nil for an empty text.
func orNull(s string) *string {
	if s == "" {
		return nil
	}
	return &s
}
