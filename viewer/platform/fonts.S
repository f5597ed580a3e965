// The fonts inside the program: it must work with no file lost and none mislaid.
// Roboto: Apache License 2.0. DejaVu Sans: Bitstream Vera licence, changes public domain.
    .section .rodata
    .macro font name, file
    .global \name\()_begin
    .global \name\()_end
    .balign 16
\name\()_begin:
    .incbin "\file"
\name\()_end:
    .byte 0
    .endm

    font brookmark_font_regular, "/usr/share/fonts/truetype/roboto/unhinted/RobotoTTF/Roboto-Regular.ttf"
    font brookmark_font_strong, "/usr/share/fonts/truetype/roboto/unhinted/RobotoTTF/Roboto-Medium.ttf"
    font brookmark_font_bold, "/usr/share/fonts/truetype/roboto/unhinted/RobotoTTF/Roboto-Bold.ttf"
    font brookmark_font_symbols, "/usr/share/fonts/truetype/dejavu/DejaVuSans.ttf"

    .section .note.GNU-stack,"",%progbits
