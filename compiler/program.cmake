# The program: one static executable, which starts in half the time of a shared one.
set(DRIPLEG_VERSION "0.1.0")
if(TARGET room_commands)
  target_compile_definitions(room_commands PUBLIC DRIPLEG_VERSION="${DRIPLEG_VERSION}")
  # Rooms link the floor below them; the two uppermost also need what they name themselves.
  foreach(needed base notices syntax quantities meaning networks evaluate judge settle tidy reports)
    foreach(upper project commands)
      if(TARGET room_${needed} AND TARGET room_${upper})
        target_link_libraries(room_${upper} PUBLIC room_${needed})
      endif()
    endforeach()
  endforeach()

  # The library, compiled by a first stage of the same program into the image that the program is linked with.
  option(DRIPLEG_STRICT_LIBRARY "a library with notices stops the build" OFF)
  file(GLOB_RECURSE library_texts CONFIGURE_DEPENDS
    ${CMAKE_SOURCE_DIR}/stdlib/*.drip ${CMAKE_SOURCE_DIR}/reports/layouts/*.drip)
  set(library_folders stdlib)
  if(EXISTS ${CMAKE_SOURCE_DIR}/reports/layouts)
    list(APPEND library_folders reports/layouts)
  endif()
  add_executable(dripleg_stage1 compiler/make_image.cpp)
  target_link_libraries(dripleg_stage1 PRIVATE room_project)
  set(library_image ${CMAKE_BINARY_DIR}/library.image)
  add_custom_command(OUTPUT ${library_image}
    COMMAND dripleg_stage1 $<$<BOOL:${DRIPLEG_STRICT_LIBRARY}>:--strict> ${library_image} ${library_folders}
    DEPENDS dripleg_stage1 ${library_texts}
    WORKING_DIRECTORY ${CMAKE_SOURCE_DIR}
    COMMENT "Compiling the library" COMMAND_EXPAND_LISTS VERBATIM)
  # Objects, so that any executable that opens the library may name them among its sources.
  add_library(library_image OBJECT compiler/project/library_image.S ${library_image})
  target_compile_options(library_image PRIVATE -Wa,-I${CMAKE_BINARY_DIR})
  set_source_files_properties(compiler/project/library_image.S TARGET_DIRECTORY library_image
    PROPERTIES OBJECT_DEPENDS ${library_image})
  add_test(NAME library_has_no_notices
    COMMAND dripleg_stage1 --strict ${CMAKE_BINARY_DIR}/library_checked.image ${library_folders}
    WORKING_DIRECTORY ${CMAKE_SOURCE_DIR})

  add_executable(dripleg compiler/program.cpp $<TARGET_OBJECTS:library_image>)
  target_link_libraries(dripleg PRIVATE room_commands)
  target_link_options(dripleg PRIVATE -static -Wl,--gc-sections)
endif()
