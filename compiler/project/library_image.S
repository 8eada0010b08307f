/* The compiled library, as the first stage of the build wrote it. */
        .section .rodata
        .balign 64
        .global dripleg_library_image
        .type dripleg_library_image, @object
dripleg_library_image:
        .incbin "library.image"
        .global dripleg_library_image_end
dripleg_library_image_end:
        .size dripleg_library_image, dripleg_library_image_end - dripleg_library_image
        .section .note.GNU-stack, "", @progbits
