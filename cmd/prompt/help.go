package prompt

// helpText lists what can be typed; every line fits 80 columns.
const helpText = `A bay:  b8 14.5 2 1/4;2 1/2 11'6 1 3/4     name width depth length bags
        1 3/4        the next bay, sizes as the one above (a ditto)
        b8 14.5, 5.5, 12, 3/4    a comma keeps apart what could be 12 3/4
        Enter        be asked, one size at a time; Enter there is a ditto
        38 lb        weighed;  1 + 14.5 lb  a part bag by weight;  shared
        behind it, in any order:  stall  no stall  reach 11  hole 2
        rod firm|soft|empty  smoke still|moves  ir even|cold  at 9
        wedge|taper|round  width2 12  depth2 3  length2 8  bulge 1
        photo b8.jpg  by AB  note (the rest of the line)
Later:  top b7 8 lb stall     topped up (top b7 0 stall: it took none)
        probe b7 rod firm at 9        seen in a filled bay
        lost b7 5 lb          came out again, or never got in
        piece b7 14.5 5.5 3   volume added;  less b7 … taken away
        close b7              the bay is closed
        amend b7 14.5 5.5 12 2   the whole fill anew
        strike b7             the bay is withdrawn
        size b9 14.5 5.5 12   measured, not filled yet
        set gate to 4         machine setting or lot changed
        count 0               the counter starts at
Look:   list  list all  show  section hip  help
        undo (takes back the last entry)  finish
`
