-- Photos whose files were looked through for what they tell beside the picture (where it was taken, by which camera): those from before
-- that was done, and those that an import or a restore brought, are made plain later (store/src/plain_photos.rs). Not journalled:
-- where a file changes by it, its photo does, and that is.
CREATE TABLE plain_photos (
    id INTEGER PRIMARY KEY REFERENCES photos (id) ON DELETE CASCADE,        -- the photo
    ok INTEGER NOT NULL                                                     -- 0: it cannot be read as a picture and stays as it is
) STRICT;
